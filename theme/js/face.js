/* Names for the ways that mdBook shows as signs: the tools of the bar, and at the end of a page the lessons before and after,
   with their evenings where that is another one. All of it is read from mdBook's own list of contents. */

const WORDS = { "#mdbook-sidebar-toggle": "Contents", "#mdbook-theme-toggle": "Theme", "#mdbook-search-toggle": "Search" };
const WAYS = { previous: "Before this", next: "After this" };

Object.entries(WORDS).forEach(([selector, word]) => {
    const tool = document.querySelector(selector);
    if (!tool) return;
    const label = document.createElement("span");
    label.className = "kettle-word";
    label.textContent = word;
    tool.append(label);
    // What is read aloud is what is seen.
    tool.setAttribute("aria-label", word);
});

// The lessons by their addresses, each with the evening under which it stands.
const withoutHash = (address) => address.split("#")[0];
const lessons = new Map();
let evening = "";
document.querySelectorAll("#mdbook-sidebar .chapter :is(li.part-title, .chapter-item > .chapter-link-wrapper > a[href])").forEach((it) => {
    if (it.matches("li")) evening = it.textContent.trim();
    else if (!lessons.has(withoutHash(it.href))) lessons.set(withoutHash(it.href), { title: it.textContent.trim(), evening });
});
const here = lessons.get(withoutHash(location.href));
Object.entries(WAYS).forEach(([way, words]) => {
    document.querySelectorAll(`.nav-wrapper .${way}`).forEach((link) => {
        const lesson = lessons.get(withoutHash(link.href));
        if (!lesson) return;
        const isOfAnother = lesson.evening && (!here || here.evening !== lesson.evening);
        const over = document.createElement("span");
        over.className = "kettle-way";
        over.textContent = isOfAnother ? lesson.evening : words;
        const title = document.createElement("span");
        title.className = "kettle-way-title";
        title.textContent = lesson.title;
        // What is read aloud is what is seen.
        link.append(over, " ", title);
        link.removeAttribute("aria-label");
        link.title = words;
    });
});
