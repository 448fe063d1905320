/* Written by Kettlebook at every build: changes made here are lost. */

/* Remembers ticks and answers in this browser, and judges answers. Nothing leaves the page. A plain script, because a module
   would not load from a memory stick (file://). Without it the boxes still tick, until the page is left; there is no field
   for an answer, and the answer itself still opens, without its explanation. */

// Pages opened as files may all share one store, so the book's title keeps courses apart.
const menuTitle = document.querySelector(".menu-title");
const course = menuTitle ? menuTitle.textContent.trim() : "";

// A browser may refuse its store, even to be asked for it; ticks then last as long as the page does.
const recall = (key) => {
    try {
        return JSON.parse(localStorage.getItem(key));
    } catch (refused) {
        return null;
    }
};
const keep = (key, value) => {
    try {
        if (value) localStorage.setItem(key, JSON.stringify(value));
        else localStorage.removeItem(key);
    } catch (refused) {
        // Nothing that the student could do about it.
    }
};

const rootOfBook = typeof path_to_root === "string" ? path_to_root : "";
const textOf = (it) => it.textContent.replace(/\s+/g, " ").trim();

// The same card or exercise may be open in another tab or on the print page; one that a block of other amounts replaced is not
// open any more.
const whenKeptElsewhere = (key, show, element) =>
    window.addEventListener("storage", (event) => {
        if ((event.key === key || event.key === null) && (!element || element.isConnected)) show();
    });

// What is made of the blocks of the page, and of each block that takes the place of another one.
const arrangements = [];
const arrange = (root) => arrangements.forEach((it) => it(root));
const within = (root, selector) => [...(root.matches && root.matches(selector) ? [root] : []), ...root.querySelectorAll(selector)];

/* Printing. mdBook's printer leads to the page of the whole course; each page gets a printer of its own beside it. On
   that page stand contents, and what instructors keep to themselves is left out until somebody asks for it. */
const PRINT_WORDS = { lesson: "Print this page", course: "Print the whole course", contents: "Contents", tools: "This page", all: "With the pages that are left out" };
const printer = document.querySelector("#print-button");
const toPrintPage = printer && printer.closest("a");
if (toPrintPage) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "icon-button kettle-print";
    button.textContent = PRINT_WORDS.lesson;
    button.addEventListener("click", () => window.print());
    toPrintPage.before(button);
    toPrintPage.title = PRINT_WORDS.course;
    toPrintPage.setAttribute("aria-label", PRINT_WORDS.course);
}
// What is folded in a lesson cannot be unfolded on paper. Of exercises the answers are at the end, and a block's sources
// are printed for whoever opened them.
let opened = [];
window.addEventListener("beforeprint", () => {
    const folded = [...document.querySelectorAll("main details:not([open])")].filter((it) => !it.closest(".kettle"));
    folded.forEach((it) => (it.open = true));
    opened = opened.concat(folded);
});
window.addEventListener("afterprint", () => {
    opened.forEach((it) => (it.open = false));
    opened = [];
});
const main = document.querySelector("main");
if (main && /(^|\/)print\.html$/.test(location.pathname)) {
    // Chapters stand one after another, with an empty element between two that begins a sheet.
    const chapters = [[]];
    const begins = (it) => it.tagName === "DIV" && !it.className && /break-before/.test(it.getAttribute("style") || "");
    [...main.children].forEach((it) => {
        if (begins(it)) chapters.push([]);
        chapters[chapters.length - 1].push(it);
    });
    const isLeftOut = (chapter) => chapter.some((it) => it.matches(".kettle-left-out"));
    const contents = document.createElement("nav");
    contents.className = "kettle-contents";
    const title = document.createElement("h2");
    title.textContent = PRINT_WORDS.contents;
    const list = document.createElement("ol");
    contents.setAttribute("aria-label", PRINT_WORDS.contents);
    contents.append(title, list);
    const show = (all) => {
        list.replaceChildren();
        chapters.forEach((chapter) => {
            const isHidden = isLeftOut(chapter) && !all;
            chapter.forEach((it) => it.classList.toggle("kettle-left-out-now", isHidden));
            const heading = chapter.map((it) => (it.matches("h1") ? it : it.querySelector("h1"))).find(Boolean);
            if (isHidden || !heading || !heading.id) return;
            const link = document.createElement("a");
            link.href = `#${heading.id}`;
            link.textContent = textOf(heading);
            const item = document.createElement("li");
            item.append(link);
            list.append(item);
        });
    };
    if (chapters.some(isLeftOut)) {
        const label = document.createElement("label");
        const box = document.createElement("input");
        box.type = "checkbox";
        box.addEventListener("change", () => show(box.checked));
        label.append(box, ` ${PRINT_WORDS.all}`);
        contents.prepend(label);
    }
    show(false);
    main.prepend(contents);
}

/* Ways from the steps of a recipe to its card, or from a card to its steps: to the block of that kind with the same title,
   the nearest one above or else the first one below. Blocks have no ids, so these are buttons and no links; where there is
   no such block, the button stays hidden. */
const titleOf = (block) => {
    const title = block && block.querySelector(".kettle-title");
    return title && textOf(title);
};
arrangements.push((root) => within(root, "[data-kettle-to]").forEach((button) => {
    const here = button.closest(".kettle");
    // A box of cautions is of all that its page shows.
    const blocks = () => {
        const ofKind = [...document.querySelectorAll(`.kettle-${button.dataset.kettleTo}`)];
        return ofKind.filter((it) => button.dataset.kettleTo === "safety" || titleOf(it) === titleOf(here));
    };
    const isAbove = (it) => it.compareDocumentPosition(here) & Node.DOCUMENT_POSITION_FOLLOWING;
    if (!blocks().length) return;
    button.hidden = false;
    button.addEventListener("click", () => {
        // Looked for now: it may have been replaced.
        const all = blocks();
        const above = all.filter(isAbove);
        const block = above.length ? above[above.length - 1] : all[0];
        if (!block) return;
        // The keyboard's place goes along.
        block.tabIndex = -1;
        block.focus({ preventScroll: true });
        block.scrollIntoView();
    });
}));

/* Ticks of the weighing-out cards and of steps. */
arrangements.push((root) => within(root, "[data-kettle-card]").forEach((card) => {
    const key = `kettle-ticks/${course}/${card.dataset.kettleCard}`;
    const boxes = [...card.querySelectorAll("input[type=checkbox]")];
    // What was weighed by older amounts was not weighed by these: such ticks must not come back.
    const amounts = boxes.map((box) => textOf(box.closest("label") || box)).join("\n");
    const button = card.querySelector(".kettle-clear");
    const clear = button && button.textContent;
    let cleared = [];

    const ticked = () => [...boxes.keys()].filter((index) => boxes[index].checked);
    const tick = (indices) => boxes.forEach((box, index) => (box.checked = indices.includes(index)));
    const show = () => {
        const kept = recall(key);
        const isValid = kept && kept.amounts === amounts && Array.isArray(kept.ticked);
        if (kept && !isValid) keep(key, null);
        tick(isValid ? kept.ticked : []);
    };
    // A glove on the wrong spot must not cost a half-ticked card: after clearing, the same button brings the ticks
    // back, until the next box is ticked.
    const store = (undo) => {
        cleared = undo;
        if (button) button.textContent = (cleared.length && button.dataset.kettleUndo) || clear;
        const now = ticked();
        keep(key, now.length ? { amounts, ticked: now } : null);
    };

    show();
    card.addEventListener("change", () => store([]));
    whenKeptElsewhere(key, show, card);
    if (button) {
        // Shown once it works, ticks or no ticks: a button that came and went would move what is under the thumb and
        // lose the keyboard's place.
        button.hidden = false;
        button.addEventListener("click", () => {
            const before = ticked();
            tick(before.length ? [] : cleared);
            store(before);
        });
    }
}));

/* Answers lie in script elements, whose text the search of a book does not find. Here they become part of the page: in
   the block, and in the key that is printed at the end of the lesson. */
const withPages = (element, base) =>
    element.querySelectorAll("a[href]").forEach((link) => {
        const href = link.getAttribute("href");
        if (/^[a-z][a-z\d+.-]*:/i.test(href) || !/\.md(#|$)/.test(href)) return;
        link.href = new URL(href.replace(/(^|\/)README\.md/, "$1index.md").replace(/\.md(#|$)/, ".html$1"), base).href;
    });
arrangements.push((root) => within(root, "[data-kettle-practice] script").forEach((sealed) => {
    const isPlain = sealed.type === "text/plain";
    const opened = document.createElement(isPlain ? "b" : "div");
    opened.className = sealed.className;
    if (isPlain) opened.textContent = sealed.textContent;
    else opened.innerHTML = JSON.parse(sealed.textContent);
    // mdBook turns links to pages into links to what becomes of them, but not in here.
    const [lesson] = sealed.closest("[data-kettle-practice]").dataset.kettlePractice.split("#");
    withPages(opened, new URL(rootOfBook + lesson, location.href));
    sealed.replaceWith(opened);
}));

/* Of a page in both units one can be left away, on paper too. No text changes, only what of it is shown: by their texts
   ticks and answers are known again. Amounts are marked by what they say: "251 g (8.85 oz)" in a
   sentence, or one after another where a card has room for both. What stands in one unit alone stays. */
const UNIT_CHOICES = { both: "Grams and ounces", g: "Grams", oz: "Ounces" };
const marked = (text, unit) => {
    const span = document.createElement("span");
    if (unit) span.dataset.kettleUnit = unit;
    else span.className = "kettle-both";
    span.textContent = text;
    return span;
};
let hasBoth = false;
arrangements.push((root) => {
    let before = null;
    within(root, "[data-kettle], .kettle-result").forEach((it) => {
        const text = it.textContent;
        const pair = /^(\S+\sg)( \()(\S+\soz)(\))$/.exec(text);
        if (pair) {
            it.replaceChildren(marked(pair[1], "g"), marked(pair[2]), marked(pair[3], "oz"), marked(pair[4]));
            hasBoth = true;
        } else if (before && before.dataset.kettle && before.dataset.kettle === it.dataset.kettle && /\soz$/.test(text) && /\sg$/.test(before.textContent)) {
            before.dataset.kettleUnit = "g";
            it.dataset.kettleUnit = "oz";
            hasBoth = true;
            // Brackets around the second stand outside of it.
            const [opens, closes] = [it.previousSibling, it.nextSibling];
            const isText = (node) => node && node.nodeType === Node.TEXT_NODE;
            if (isText(opens) && isText(closes) && opens.data.endsWith("(") && closes.data.startsWith(")")) {
                opens.data = opens.data.slice(0, -1);
                closes.data = closes.data.slice(1);
                it.before(marked("("));
                it.after(marked(")"));
            }
        }
        before = it;
    });
});
const showUnits = () => {
    const bar = document.querySelector("#mdbook-menu-bar .right-buttons, .right-buttons");
    if (hasBoth && bar) {
        const key = `kettle-units/${course}`;
        const choice = document.createElement("select");
        choice.className = "kettle-units";
        choice.setAttribute("aria-label", "Units of amounts");
        Object.entries(UNIT_CHOICES).forEach(([unit, words]) => choice.append(new Option(words, unit)));
        const showIn = (unit) => {
            document.documentElement.dataset.kettleUnits = unit;
            document.dispatchEvent(new Event("kettle-units"));
        };
        const show = () => {
            const kept = recall(key);
            choice.value = Object.hasOwn(UNIT_CHOICES, kept) ? kept : "both";
            showIn(choice.value);
        };
        choice.addEventListener("change", () => {
            keep(key, choice.value === "both" ? null : choice.value);
            showIn(choice.value);
        });
        // To mdBook arrows turn the page; in here they choose.
        choice.addEventListener("keydown", (event) => event.stopPropagation());
        whenKeptElsewhere(key, show);
        show();
        bar.prepend(choice);
        // A tool of the page is found among its landmarks.
        bar.setAttribute("role", "navigation");
        bar.setAttribute("aria-label", PRINT_WORDS.tools);
    }
};
