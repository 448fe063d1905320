//! Just enough of Firefox's own protocol (Marionette) to test pages: JSON messages, each with its length before it, over
//! a port of the loopback that Firefox chooses and writes into its profile.
//!
//! Like `devtools.rs` it takes no crate and no driver program. Commands are those of the WebDriver standard.

use std::env;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::TempDir;

use super::refused::Refused;

const NAMES: [&str; 2] = ["firefox-esr", "firefox"];
/// Far longer than anything here takes, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);
/// What ends a reading of the console, since messages reach us some time after they were written.
const END: &str = "end of what was asked for";

/// No page opens the dialogue for printing: it would stop the page's clock, and let nothing be opened after it.
const WITHOUT_PRINTING: &str = "Services.mm.loadFrameScript('data:,' + encodeURIComponent(
    `addEventListener('DOMWindowCreated', ({ target }) => {
        const page = target.defaultView;
        if (page) Cu.exportFunction(() => {}, page, { defineAs: 'print' });
    }, true);`), true);";

/// What a profile is set to: the network is refused, what the page writes on its console comes out of the program, and
/// Firefox has no errands of its own.
fn preferences(proxy_port: u16) -> String {
    let on = ["browser.dom.window.dump.enabled", "devtools.console.stdout.content"];
    let off = [
        "app.normandy.enabled",
        "app.update.auto",
        "browser.safebrowsing.malware.enabled",
        "browser.safebrowsing.phishing.enabled",
        "browser.search.update",
        "datareporting.healthreport.uploadEnabled",
        "datareporting.policy.dataSubmissionEnabled",
        "devtools.console.stdout.chrome",
        "dom.push.connection.enabled",
        "extensions.getAddons.cache.enabled",
        "extensions.systemAddon.update.enabled",
        "extensions.update.enabled",
        "messaging-system.rsexperimentloader.enabled",
        "media.gmp-manager.updateEnabled",
        "network.captive-portal-service.enabled",
        "network.connectivity-service.enabled",
        "nimbus.rollouts.enabled",
    ];
    let mut lines = String::from("user_pref(\"marionette.port\", 0);\nuser_pref(\"network.proxy.type\", 1);\n");
    for name in ["http", "ssl"] {
        lines += &format!("user_pref(\"network.proxy.{name}\", \"127.0.0.1\");\n");
        lines += &format!("user_pref(\"network.proxy.{name}_port\", {proxy_port});\n");
    }
    for (names, value) in [(&on[..], true), (&off[..], false)] {
        lines.extend(names.iter().map(|name| format!("user_pref(\"{name}\", {value});\n")));
    }
    lines
}

/// A Firefox with one page.
pub(crate) struct Firefox {
    process: Child,
    stream: BufReader<TcpStream>,
    printed: Receiver<String>,
    last_id: u64,
    refused: Refused,
    _profile: TempDir,
}

impl Firefox {
    /// Starts the browser in `FIREFOX`, or else the first of the usual names on the path.
    pub(crate) fn start() -> Firefox {
        let profile = tempfile::tempdir().expect("a temporary folder");
        let refused = Refused::start();
        fs::write(profile.path().join("user.js"), preferences(refused.port)).expect("the profile can be written");
        let mut process = Command::new(browser_path())
            // The console of the browser itself tells what went wrong in a page; asking it needs this access.
            .args(["--headless", "--marionette", "--remote-allow-system-access", "--no-remote", "--profile"])
            .arg(profile.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("Firefox starts");
        let lines = BufReader::new(process.stdout.take().expect("a pipe from the browser")).lines();
        let (sender, printed) = channel();
        thread::spawn(move || lines.map_while(Result::ok).try_for_each(|it| sender.send(it)));
        let stream = BufReader::new(connect(&profile.path().join("MarionetteActivePort")));
        stream.get_ref().set_read_timeout(Some(PATIENCE)).expect("the stream takes a time");
        let mut firefox = Firefox { process, stream, printed, last_id: 0, refused, _profile: profile };
        let hello = firefox.receive();
        assert_eq!(hello["marionetteProtocol"], 3, "{hello}");
        firefox.call("WebDriver:NewSession", json!({}));
        firefox.eval_in_browser(WITHOUT_PRINTING);
        firefox
    }

    /// Sends a command and gives its result.
    pub(crate) fn call(&mut self, command: &str, parameters: Value) -> Value {
        self.last_id += 1;
        let message = json!([0, self.last_id, command, parameters]).to_string();
        let sent = write!(self.stream.get_mut(), "{}:{message}", message.len());
        sent.expect("Firefox listens");
        let answer = self.receive();
        assert_eq!(answer[1], self.last_id, "{command}: {answer}");
        assert!(answer[2].is_null(), "{command} {parameters}: {}", answer[2]);
        answer[3].clone()
    }

    fn receive(&mut self) -> Value {
        let mut length = Vec::new();
        self.stream.read_until(b':', &mut length).expect("Firefox answers");
        length.pop();
        let length = String::from_utf8_lossy(&length).parse().expect("a length before the message");
        let mut message = vec![0; length];
        self.stream.read_exact(&mut message).expect("Firefox sends the whole message");
        serde_json::from_slice(&message).expect("Firefox speaks JSON")
    }

    /// Opens a file and waits until it and its scripts are loaded.
    pub(crate) fn open(&mut self, page: &Path) {
        self.go_to(&format!("file://{}", page.display()));
    }

    /// Opens an address.
    pub(crate) fn go_to(&mut self, url: &str) {
        self.call("WebDriver:Navigate", json!({ "url": url }));
    }

    /// Loads the page once more.
    pub(crate) fn reload(&mut self) {
        self.call("WebDriver:Refresh", json!({}));
    }

    /// The value of an expression in the page; of a promise, what it comes to.
    pub(crate) fn eval(&mut self, script: &str) -> Value {
        let script = json!({ "script": format!("return ({script});"), "args": [], "sandbox": null });
        self.call("WebDriver:ExecuteScript", script)["value"].clone()
    }

    /// Clicks with the mouse in the middle of the first element that a selector finds.
    pub(crate) fn click(&mut self, selector: &str) {
        let id = self.find(selector);
        self.call("WebDriver:ElementClick", json!({ "id": id }));
    }

    /// Types a text into a field.
    pub(crate) fn type_text(&mut self, selector: &str, text: &str) {
        let id = self.find(selector);
        self.call("WebDriver:ElementSendKeys", json!({ "id": id, "text": text }));
    }

    /// Presses and releases a key where the focus is, by the standard's character for it: `\u{e004}` is the tab key.
    pub(crate) fn press(&mut self, key: char) {
        let strokes = ["keyDown", "keyUp"].map(|it| json!({ "type": it, "value": key }));
        let keyboard = json!({ "type": "key", "id": "keyboard", "actions": strokes });
        self.call("WebDriver:PerformActions", json!({ "actions": [keyboard] }));
    }

    fn find(&mut self, selector: &str) -> Value {
        let found = self.call("WebDriver:FindElement", json!({ "using": "css selector", "value": selector }));
        let reference = found["value"].as_object().and_then(|it| it.values().next());
        reference.unwrap_or_else(|| panic!("{selector}: {found}")).clone()
    }

    /// What the page complained of since this was last asked for: errors on its console, exceptions, files that did not
    /// load, things that its policy refused.
    pub(crate) fn complaints(&mut self) -> Vec<String> {
        self.eval(&format!("(console.error({END:?}), setTimeout(() => {{ throw new Error({END:?}); }}), true)"));
        let mut complaints = Vec::new();
        loop {
            let line = self.printed.recv_timeout(PATIENCE).expect("the console reaches us");
            if line.contains(END) {
                break;
            }
            // The browser's own loader of settings finds no network, which is as it should be.
            let is_of_page =
                |it: &String| it.starts_with("console.error") && !it.starts_with("console.error: RSLoader");
            complaints.extend(Some(line).filter(is_of_page));
        }
        let asked = Instant::now();
        let told = loop {
            let messages = self.eval_in_browser("return Services.console.getMessageArray().map(String);");
            let messages: Vec<String> = serde_json::from_value(messages).expect("a list of messages");
            if messages.iter().any(|it| it.contains(END)) {
                break messages;
            }
            assert!(asked.elapsed() < PATIENCE, "the console of the browser does not tell of an exception");
            // One that was thrown while the page was still being put together may be lost.
            self.eval(&format!("(setTimeout(() => {{ throw new Error({END:?}); }}), true)"));
            thread::sleep(Duration::from_millis(50));
        };
        self.eval_in_browser("Services.console.reset();");
        let is_of_page = |it: &String| it.contains("file: \"file://") || it.contains("file: \"http://");
        let is_complaint = |it: &String| it.contains("JavaScript Error") || it.contains("Loading failed");
        complaints.extend(told.into_iter().filter(|it| is_of_page(it) && is_complaint(it) && !it.contains(END)));
        complaints
    }

    fn eval_in_browser(&mut self, script: &str) -> Value {
        self.call("Marionette:SetContext", json!({ "value": "chrome" }));
        let script = json!({ "script": script, "args": [], "sandbox": "system" });
        let value = self.call("WebDriver:ExecuteScript", script)["value"].clone();
        self.call("Marionette:SetContext", json!({ "value": "content" }));
        value
    }

    /// The first line of every request that wanted to go out, but for what the browser asks its maker for on its own account.
    pub(crate) fn asked(&self) -> Vec<String> {
        let is_its_own =
            |line: &String| [".mozilla.com", ".mozilla.org", ".mozilla.net"].iter().any(|it| line.contains(it));
        self.refused.asked().into_iter().filter(|it| !is_its_own(it)).collect()
    }
}

impl Drop for Firefox {
    fn drop(&mut self) {
        // Asked first, so that its helpers end with it; made to when it does not.
        let quit = json!([0, 0, "Marionette:Quit", { "flags": ["eForceQuit"] }]).to_string();
        let _ = write!(self.stream.get_mut(), "{}:{quit}", quit.len());
        let asked = Instant::now();
        while asked.elapsed() < Duration::from_secs(10) {
            if matches!(self.process.try_wait(), Ok(Some(_))) {
                return;
            }
            thread::sleep(Duration::from_millis(10));
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Waits until Firefox has written down its port, and connects.
fn connect(port_file: &Path) -> TcpStream {
    let started = Instant::now();
    loop {
        let port = fs::read_to_string(port_file).ok().and_then(|it| it.trim().parse::<u16>().ok());
        if let Some(stream) = port.and_then(|it| TcpStream::connect(("127.0.0.1", it)).ok()) {
            return stream;
        }
        assert!(started.elapsed() < PATIENCE, "Firefox does not listen");
        thread::sleep(Duration::from_millis(20));
    }
}

fn browser_path() -> PathBuf {
    if let Some(named) = env::var_os("FIREFOX") {
        return PathBuf::from(named);
    }
    let folders: Vec<PathBuf> = env::split_paths(&env::var_os("PATH").unwrap_or_default()).collect();
    let found = NAMES.iter().flat_map(|name| folders.iter().map(move |it| it.join(name))).find(|it| it.is_file());
    found.unwrap_or_else(|| {
        panic!("these tests need Firefox too: install the package firefox-esr, or name one in FIREFOX")
    })
}
