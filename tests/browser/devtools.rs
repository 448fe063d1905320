//! Just enough of Chromium's own protocol to test pages: JSON messages, each ended by a zero byte, over two pipes.
//!
//! Written here because it takes no crate, no port and no driver program; the crates for it bring in a TLS stack and
//! an asynchronous runtime. Chromium reads from descriptor 3 and writes to descriptor 4, which a shell connects.

use std::collections::VecDeque;
use std::env;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::TempDir;

use super::refused::Refused;

const NAMES: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];
const SWITCHES: [&str; 9] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-pipe",
    "about:blank",
];
/// Where Chromium looks for its own updates and the time.
const MAKERS: [&str; 4] = ["google.com", "googleapis.com", "gvt1.com", "gstatic.com"];
/// Far longer than anything here takes, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(90);

/// A browser with one page.
pub(crate) struct Browser {
    process: Child,
    to_browser: ChildStdin,
    from_browser: Receiver<Value>,
    session: String,
    last_id: u64,
    events: VecDeque<Value>,
    refused: Refused,
    _profile: TempDir,
}

impl Browser {
    /// Starts the browser in `CHROMIUM`, or else the first of the usual names on the path.
    pub(crate) fn start() -> Browser {
        let profile = tempfile::tempdir().expect("a temporary folder");
        let refused = Refused::start();
        let mut process = Command::new("sh")
            .args(["-c", r#"exec "$0" "$@" 3<&0 4>&1 </dev/null >/dev/null"#])
            .arg(browser_path())
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg(format!("--proxy-server=127.0.0.1:{}", refused.port))
            .args(SWITCHES)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("a shell starts the browser");
        let to_browser = process.stdin.take().expect("a pipe to the browser");
        let mut answers = BufReader::new(process.stdout.take().expect("a pipe from the browser"));
        let (sender, from_browser) = channel();
        thread::spawn(move || {
            let mut message = Vec::new();
            while answers.read_until(0, &mut message).is_ok_and(|it| it > 0) {
                message.pop();
                let value = serde_json::from_slice(&message).expect("the browser speaks JSON");
                message.clear();
                if sender.send(value).is_err() {
                    break;
                }
            }
        });
        let mut browser = Browser {
            process,
            to_browser,
            from_browser,
            session: String::new(),
            last_id: 0,
            events: VecDeque::new(),
            refused,
            _profile: profile,
        };
        let targets = browser.call("Target.getTargets", json!({}));
        let pages = targets["targetInfos"].as_array().expect("a list of targets");
        let page = pages.iter().find(|it| it["type"] == "page").expect("the browser opened a page");
        let attached = browser.call("Target.attachToTarget", json!({ "targetId": page["targetId"], "flatten": true }));
        browser.session = attached["sessionId"].as_str().expect("a session").to_owned();
        for domain in ["Page", "Runtime", "Network", "Log", "DOM", "Accessibility"] {
            browser.call(&format!("{domain}.enable"), json!({}));
        }
        // mdBook's print page prints itself, which would hold up what follows.
        browser.on_every_page("window.print = () => {};");
        browser
    }

    /// Sends a command and gives its result; what else the browser tells meanwhile is kept for [`Browser::events`].
    pub(crate) fn call(&mut self, method: &str, parameters: Value) -> Value {
        self.last_id += 1;
        let mut message = json!({ "id": self.last_id, "method": method, "params": parameters });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        let sent = write!(self.to_browser, "{message}\0").and_then(|()| self.to_browser.flush());
        sent.expect("the browser listens");
        loop {
            let answer = self.receive(method);
            if answer["id"] == self.last_id {
                assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
                return answer["result"].clone();
            }
            self.events.push_back(answer);
        }
    }

    fn receive(&self, awaited: &str) -> Value {
        let received = self.from_browser.recv_timeout(PATIENCE);
        received.unwrap_or_else(|cause| panic!("the browser does not answer to {awaited}: {cause}"))
    }

    /// Opens a file and waits until it and its scripts are loaded.
    pub(crate) fn open(&mut self, page: &Path) {
        self.go_to(&format!("file://{}", page.display()));
    }

    /// Opens an address.
    pub(crate) fn go_to(&mut self, url: &str) {
        self.call("Page.navigate", json!({ "url": url }));
        self.wait_for_load();
    }

    /// Loads the page once more.
    pub(crate) fn reload(&mut self) {
        self.call("Page.reload", json!({}));
        self.wait_for_load();
    }

    fn wait_for_load(&mut self) {
        while !self.events.iter().any(|it| it["method"] == "Page.loadEventFired") {
            let event = self.receive("loading a page");
            self.events.push_back(event);
        }
        self.events.retain(|it| it["method"] != "Page.loadEventFired");
    }

    /// What the browser told since this was last asked for.
    pub(crate) fn events(&mut self) -> Vec<Value> {
        self.events.drain(..).collect()
    }

    /// Runs a script before the scripts of every page that is opened from now on.
    pub(crate) fn on_every_page(&mut self, script: &str) {
        self.call("Page.addScriptToEvaluateOnNewDocument", json!({ "source": script }));
    }

    /// The first line of every request that wanted to go out, but for what the browser asks its maker for on its own account:
    /// what a page asks for is in the events too.
    pub(crate) fn asked(&self) -> Vec<String> {
        let host_of = |line: &str| {
            let address = line.split(' ').nth(1).unwrap_or_default();
            let host = address.split("://").last().unwrap_or_default();
            host.split(['/', ':']).next().unwrap_or_default().to_owned()
        };
        let is_its_own = |line: &String| {
            let host = host_of(line);
            MAKERS.iter().any(|it| host == *it || host.ends_with(&format!(".{it}")))
        };
        self.refused.asked().into_iter().filter(|it| !is_its_own(it)).collect()
    }

    /// The value of an expression in the page; of a promise, what it comes to.
    pub(crate) fn eval(&mut self, script: &str) -> Value {
        let evaluated = json!({ "expression": script, "returnByValue": true, "awaitPromise": true });
        let answer = self.call("Runtime.evaluate", evaluated);
        assert!(answer["exceptionDetails"].is_null(), "{script}: {answer}");
        answer["result"]["value"].clone()
    }

    /// Gives the window the width of a phone, and scroll bars that take no room.
    pub(crate) fn become_a_phone(&mut self, width: u32) {
        let metrics = json!({ "width": width, "height": 800, "deviceScaleFactor": 1, "mobile": true });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
    }

    /// Magnifies pages in a window of so many points: twice as large, half as many of the page's pixels fit.
    pub(crate) fn zoom(&mut self, width: u32, height: u32, factor: u32) {
        let metrics = json!({
            "width": width / factor, "height": height / factor, "deviceScaleFactor": factor, "mobile": false
        });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
    }

    /// What the reader has asked their system for, such as `prefers-reduced-motion` and `reduce`.
    pub(crate) fn prefer(&mut self, wishes: &[(&str, &str)]) {
        let wishes: Vec<_> = wishes.iter().map(|(name, value)| json!({ "name": name, "value": value })).collect();
        self.call("Emulation.setEmulatedMedia", json!({ "features": wishes }));
    }

    /// Presses and releases a key.
    pub(crate) fn press(&mut self, key: &str, code: u32) {
        for kind in ["rawKeyDown", "char", "keyUp"] {
            let mut event = json!({ "type": kind, "key": key, "windowsVirtualKeyCode": code });
            if kind == "char" {
                if key.chars().count() > 1 {
                    continue;
                }
                event["text"] = json!(key);
            }
            self.call("Input.dispatchKeyEvent", event);
        }
    }

    /// Clicks with the mouse in the middle of the element that an expression gives.
    pub(crate) fn click(&mut self, element: &str) {
        let place = self.eval(&format!(
            "(() => {{ const it = {element}; it.scrollIntoView({{ block: 'center', behavior: 'instant' }}); \
             const box = it.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]; }})()"
        ));
        for kind in ["mousePressed", "mouseReleased"] {
            let event = json!({ "type": kind, "x": place[0], "y": place[1], "button": "left", "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", event);
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Asked first, so that its helpers end with it; made to when it does not.
        let _ = write!(self.to_browser, "{}\0", json!({ "id": 0, "method": "Browser.close" }));
        let _ = self.to_browser.flush();
        let asked = Instant::now();
        while asked.elapsed() < Duration::from_secs(5) {
            if matches!(self.process.try_wait(), Ok(Some(_))) {
                return;
            }
            thread::sleep(Duration::from_millis(10));
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn browser_path() -> PathBuf {
    if let Some(named) = env::var_os("CHROMIUM") {
        let named = PathBuf::from(named);
        assert!(named.is_file(), "CHROMIUM names {}, which is not there", named.display());
        return named;
    }
    let folders: Vec<PathBuf> = env::split_paths(&env::var_os("PATH").unwrap_or_default()).collect();
    let candidates = NAMES.iter().flat_map(|name| folders.iter().map(move |it| it.join(name)));
    candidates.into_iter().find(|it| it.is_file()).unwrap_or_else(|| {
        panic!(
            "these tests need a browser: install the package chromium, or name one in CHROMIUM (looked for {} on the \
             path)",
            NAMES.join(", ")
        )
    })
}
