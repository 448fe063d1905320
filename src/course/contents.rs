//! The contents of a course: what SUMMARY.md lists, what lies in the folder of lessons, and what lessons link to.
//!
//! Layer 7. Works on texts. How SUMMARY.md nests chapters is mdBook's business; this only looks at each of its links.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use mdbook_markdown::pulldown_cmark::{Event, Parser, Tag};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use percent_encoding::percent_decode_str;

use crate::finding::{Finding, nearest};
use crate::source::{Extract, Located, Place, SourceFile};

/// The name of the file that lists the chapters.
pub const SUMMARY: &str = "SUMMARY.md";

/// Everything in the folder of lessons.
#[derive(Debug, Default)]
pub struct LessonFiles {
    /// The Markdown files by their paths below the folder, SUMMARY.md among them.
    pub lessons: BTreeMap<String, Arc<SourceFile>>,
    /// The paths of all other files.
    pub others: BTreeSet<String>,
}

/// The chapters of a course.
#[derive(Debug)]
pub struct Contents {
    /// The paths of those that can be read, in order, with their titles; none twice.
    pub chapters: Vec<(String, String)>,
    /// What keeps SUMMARY.md or a chapter from being read.
    pub errors: Vec<Finding>,
    /// The paths in SUMMARY.md, whatever is wrong with them; `None` if there is none.
    listed: Option<BTreeSet<String>>,
}

impl Contents {
    /// Reads SUMMARY.md.
    ///
    /// - `place_of_src`: where book.toml names the folder of lessons, or would.
    #[must_use]
    pub fn of(files: &LessonFiles, place_of_src: &Place) -> Contents {
        let mut contents = Contents { chapters: Vec::new(), errors: Vec::new(), listed: None };
        let Some(summary) = files.lessons.get(SUMMARY) else {
            contents.errors.push(Finding::no_summary(place_of_src.clone(), SUMMARY));
            return contents;
        };
        let not_text = |path: &str| files.lessons.get(path).and_then(|it| it.not_text()).map(Finding::not_utf_8);
        contents.errors.extend(not_text(SUMMARY));
        let mut listed = BTreeSet::new();
        for (title, link) in links_of_summary(summary, &mut contents.errors) {
            let (path, place) = (without_dots("", &link.value), link.place);
            let Some(path) = path else { continue };
            if !listed.insert(path.clone()) {
                contents.errors.push(Finding::chapter_twice(place, &path));
            } else if let Some(finding) = not_text(&path) {
                contents.errors.push(finding);
            } else if files.lessons.contains_key(&path) || files.others.contains(&path) {
                contents.chapters.push((title, path));
            } else {
                let near = nearest(&path, files.lessons.keys().map(String::as_str).filter(|it| *it != SUMMARY));
                contents.errors.push(Finding::missing_chapter(place, &path, near));
            }
        }
        contents.listed = Some(listed);
        contents
    }

    /// Lessons that nothing lists, and links and images that lead nowhere.
    #[must_use]
    pub fn loose_ends(&self, files: &LessonFiles) -> Vec<Finding> {
        let Some(listed) = &self.listed else { return Vec::new() };
        let chapters: BTreeSet<&str> = self.chapters.iter().map(|(_, path)| path.as_str()).collect();
        let included: BTreeSet<String> =
            files.lessons.iter().flat_map(|(path, it)| includes(path, it.text())).collect();
        let mut findings = Vec::new();
        for (path, file) in &files.lessons {
            let is_chapter = chapters.contains(path.as_str());
            if is_chapter {
                findings.extend(dead_ends(path, file, files, listed));
            } else if !(listed.contains(path)
                || included.contains(path)
                || is_hidden(path)
                || [SUMMARY, "404.md"].contains(&path.as_str()))
            {
                findings.push(Finding::unlisted_lesson(Extract::whole(file).place(0..1), path));
            }
        }
        findings
    }
}

/// The links of the lists and paragraphs of SUMMARY.md with their titles; a chapter that is only announced has none.
fn links_of_summary(file: &Arc<SourceFile>, findings: &mut Vec<Finding>) -> Vec<(String, Located<String>)> {
    let whole = Extract::whole(file);
    let mut links: Vec<(String, Located<String>)> = Vec::new();
    let mut is_in_link = false;
    let mut item = None;
    // As mdBook reads it, without extensions.
    for (event, range) in Parser::new(file.text()).into_offset_iter() {
        match event {
            Event::Start(Tag::Item) => item = Some(range),
            Event::Start(Tag::Paragraph) => {}
            Event::Start(Tag::Link { dest_url, .. }) => {
                (item, is_in_link) = (None, true);
                let value = percent_decode_str(&dest_url).decode_utf8_lossy().into_owned();
                links.push((String::new(), Located { value, place: whole.place(range) }));
            }
            Event::End(mdbook_markdown::pulldown_cmark::TagEnd::Link) => is_in_link = false,
            Event::Text(words) | Event::Code(words) if is_in_link => {
                if let Some((title, _)) = links.last_mut() {
                    title.push_str(&words);
                }
            }
            _ => {
                if let Some(it) = item.take() {
                    findings.push(Finding::chapter_without_link(whole.place(it)));
                }
            }
        }
    }
    links.retain(|(_, it)| !it.value.is_empty());
    links
}

/// What a lesson links to and shows that is not there.
fn dead_ends(path: &str, file: &Arc<SourceFile>, files: &LessonFiles, listed: &BTreeSet<String>) -> Vec<Finding> {
    let whole = Extract::whole(file);
    let mut findings = Vec::new();
    for (event, range) in new_cmark_parser(file.text(), &MarkdownOptions::default()).into_offset_iter() {
        let (typed, is_image) = match event {
            Event::Start(Tag::Link { dest_url, .. }) => (dest_url, false),
            Event::Start(Tag::Image { dest_url, .. }) => (dest_url, true),
            _ => continue,
        };
        let Some(target) = target(path, &typed) else { continue };
        let place = whole.place(range);
        if is_image {
            if !files.others.contains(&target) {
                findings.push(Finding::missing_image(place, &target));
            }
        } else if target.ends_with(".md") {
            if !listed.contains(&target) && !is_index(&target, listed) {
                findings.push(Finding::dead_link(place, &target, files.lessons.contains_key(&target)));
            }
        // Pages as mdBook names them may be there by redirection, and a folder may have an index.
        } else if !target.ends_with(".html") && !target.is_empty() && !files.others.contains(&target) {
            findings.push(Finding::dead_link(place, &target, false));
        }
    }
    findings
}

/// The file below the folder of lessons that an address in a lesson leads to; `None` for one that leads out of the course.
fn target(lesson: &str, address: &str) -> Option<String> {
    let path = address.split(['#', '?']).next().unwrap_or_default();
    let leads_out = path.is_empty() || path.starts_with('/') || path.ends_with('/');
    if leads_out || path.contains(':') || path.contains("{{") {
        return None;
    }
    let folder = lesson.rsplit_once('/').map_or("", |(folder, _)| folder);
    without_dots(folder, &percent_decode_str(path).decode_utf8_lossy())
}

/// An editor's, or set aside on purpose.
fn is_hidden(path: &str) -> bool {
    path.split('/').any(|it| it.starts_with('.') || it.starts_with('_'))
}

/// A README becomes the index of its folder.
fn is_index(target: &str, listed: &BTreeSet<String>) -> bool {
    let Some(folder) = target.strip_suffix("index.md") else { return false };
    listed.iter().any(|it| it.strip_prefix(folder).is_some_and(|it| it.eq_ignore_ascii_case("readme.md")))
}

/// The files that a Markdown file includes.
fn includes(path: &str, text: &str) -> Vec<String> {
    let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let of_call = |call: &str| {
        let arguments = call.split("}}").next()?.split_once(' ')?.1.trim();
        without_dots(folder, arguments.split([':', ' ']).next()?)
    };
    text.split("{{#").skip(1).filter_map(of_call).collect()
}

/// A path seen from `folder`; `None` when it leads out of the folder of lessons.
fn without_dots(folder: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = Vec::new();
    for part in folder.split('/').chain(path.split('/')) {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()?),
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}
