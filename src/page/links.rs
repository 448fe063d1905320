//! Links between the pages of a book.
//!
//! Layer 6.

/// The path of a page below the folder of the pages, from a link on another page: `../lye.md` on `a/b.md` is `lye.md`.
/// A README has the path that mdBook gives it.
#[must_use]
pub(super) fn path_from(page_id: &str, link: &str) -> String {
    let mut parts: Vec<&str> = page_id.split('/').collect();
    parts.pop();
    for part in link.split('/') {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()),
            part => parts.push(part),
        }
    }
    as_index(&parts.join("/"))
}

/// The path of a page as mdBook names it: that of a README is `index.md`.
#[must_use]
pub(super) fn as_index(page_id: &str) -> String {
    let (folder, name) = page_id.rsplit_once('/').map_or(("", page_id), |(folder, name)| (folder, name));
    match name.to_lowercase() == "readme.md" {
        true if folder.is_empty() => "index.md".into(),
        true => format!("{folder}/index.md"),
        false => page_id.to_owned(),
    }
}

/// The link from one page to another: from `a/b.md` to `lye.md` it is `../lye.md`.
#[must_use]
pub(super) fn link_to(from_id: &str, to_id: &str) -> String {
    let from: Vec<&str> = from_id.split('/').collect();
    let to: Vec<&str> = to_id.split('/').collect();
    let folders = from[..from.len() - 1].iter().zip(&to[..to.len() - 1]);
    let n_shared = folders.take_while(|(from, to)| from == to).count();
    let mut parts = vec![".."; from.len() - 1 - n_shared];
    parts.extend(&to[n_shared..]);
    parts.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_between_pages_go_up_and_down() {
        for (from, to, link) in [
            ("a.md", "b.md", "b.md"),
            ("a/b.md", "c.md", "../c.md"),
            ("a/b.md", "a/c.md", "c.md"),
            ("a.md", "b/c.md", "b/c.md"),
            ("a/b/c.md", "a/d/e.md", "../d/e.md"),
        ] {
            assert_eq!(link_to(from, to), link);
            assert_eq!(path_from(from, link), to);
        }
        assert_eq!(path_from("a/b.md", "./README.md"), "a/index.md");
    }
}
