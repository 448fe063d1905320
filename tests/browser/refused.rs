//! A network that refuses everything and remembers what it was asked for, and a server of files on the loopback.
//!
//! Browsers are told to reach the network through the first. It never answers, so a page that needs anything from outside
//! breaks here, and the test can say what it asked for.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::thread;

/// A proxy that refuses.
pub(crate) struct Refused {
    pub(crate) port: u16,
    asked: Arc<Mutex<Vec<String>>>,
}

impl Refused {
    pub(crate) fn start() -> Refused {
        let asked = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&asked);
        let port = serve(move |line, _| kept.lock().expect("no thread panicked").push(line.trim().to_owned()));
        Refused { port, asked }
    }

    /// The first line of every request so far.
    pub(crate) fn asked(&self) -> Vec<String> {
        self.asked.lock().expect("no thread panicked").clone()
    }
}

/// Serves a folder over HTTP as any plain server does, and gives the port.
pub(crate) fn serve_folder(root: &Path) -> u16 {
    let root = root.to_owned();
    serve(move |line, stream| {
        let path = line.split(' ').nth(1).unwrap_or("/");
        let path = PathBuf::from(path.split(['?', '#']).next().unwrap_or(path).trim_start_matches('/'));
        let is_below = path.components().all(|it| matches!(it, Component::Normal(_)));
        let file = fs::read(root.join(&path)).ok().filter(|_| is_below);
        let kind = match path.extension().and_then(|it| it.to_str()) {
            Some("html") => "text/html",
            Some("css") => "text/css",
            Some("js") => "text/javascript",
            Some("svg") => "image/svg+xml",
            Some("png") => "image/png",
            _ => "application/octet-stream",
        };
        let (status, body) = file.map_or(("404 Not Found", Vec::new()), |it| ("200 OK", it));
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
            body.len()
        );
        // Whoever asked may have gone away meanwhile.
        let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body));
    })
}

/// Listens on a free port of the loopback, and hands over the first line of each request once all of its head is read.
fn serve(answer: impl Fn(&str, &mut TcpStream) + Send + Sync + 'static) -> u16 {
    let listener = TcpListener::bind(("127.0.0.1", 0)).expect("the loopback has a free port");
    let port = listener.local_addr().expect("the listener has an address").port();
    let answer = Arc::new(answer);
    thread::spawn(move || {
        for mut stream in listener.incoming().flatten() {
            let answer = Arc::clone(&answer);
            thread::spawn(move || {
                let Ok(half) = stream.try_clone() else { return };
                let mut lines = BufReader::new(half).lines().map_while(Result::ok);
                let Some(first) = lines.next() else { return };
                lines.find(String::is_empty);
                answer(&first, &mut stream);
            });
        }
    });
    port
}
