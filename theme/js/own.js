/* For my own bench: what a student sets on a card, and the page that follows it. Written behind kettle.js into the same file.
   Nothing is computed, worded or drawn here. The calculator that built the page (calculator.js, WebAssembly) is given what
   stands in the fields, and gives back what is put into the page. It is loaded when somebody first asks for it, or set
   something before. */

const VERSION = 1;
const ownKey = `kettle-own/${course}`;
const markers = document.querySelectorAll("[data-kettle-page]");
// The page of the whole course has every lesson in it, and is printed as the course is.
const hasControls =
    markers.length === 1 && typeof WebAssembly === "object" && typeof DecompressionStream === "function" && typeof TextEncoder === "function";
const marker = hasControls ? markers[0] : null;
const ownPageId = marker && marker.dataset.kettlePage;
const recipesOfPage = marker ? JSON.parse(marker.dataset.kettleRecipes) : [];

// What somebody pastes may have half a character in it, which is none.
const wellFormed = (text) => text.replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, "\ufffd");

const loadScript = (address) =>
    new Promise((resolve, reject) => {
        const script = document.createElement("script");
        script.src = rootOfBook + address;
        script.addEventListener("load", resolve);
        script.addEventListener("error", () => reject(new Error(address)));
        document.head.append(script);
    });

let calculator = null;
// Ready for this page, or why it is not.
const calculatorOfPage = () => {
    const load = async () => {
        const ofPage = ownPageId.split("/").map(encodeURIComponent).join("/").replace(/\.md$/, ".js");
        await Promise.all(["kettle/calculator.js", "kettle/course.js", `kettle/pages/${ofPage}`].map(loadScript));
        const ask = await globalThis.kettle.calculator();
        const { course: texts, pages } = globalThis.kettle;
        const { refused } = ask({ open: { course: texts, page: pages[ownPageId] } });
        return { ask, refused };
    };
    calculator = calculator || load();
    return calculator;
};

// Where the blocks and values of the page stand, by their numbers. A block stands between two comments.
const places = new Map();
const findPlaces = (root) => {
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_COMMENT);
    while (walker.nextNode()) {
        const number = /^kettle (\d+)$/.exec(walker.currentNode.data);
        if (number) places.set(Number(number[1]), walker.currentNode);
    }
    within(root, "[data-kettle-n]").forEach((it) => places.set(Number(it.dataset.kettleN), it));
};
const put = (number, html) => {
    const place = places.get(number);
    if (!place) return;
    const holder = document.createElement("template");
    holder.innerHTML = html;
    withPages(holder.content, location.href);
    const added = [...holder.content.children];
    if (place.nodeType === Node.COMMENT_NODE) {
        while (place.nextSibling && place.nextSibling.data !== "/kettle") place.nextSibling.remove();
        place.after(holder.content);
    } else {
        place.replaceWith(holder.content);
    }
    added.forEach((it) => {
        if (it.dataset.kettleN) places.set(number, it);
        arrange(it);
        showButtons(it);
    });
};

// What is set, by recipe and field.
let own = {};
const ownOfPage = () => Object.fromEntries(Object.entries(own).filter(([it]) => recipesOfPage.includes(it)));
const isEmpty = (it) => !it || Object.keys(it).length === 0;
const store = () => {
    Object.keys(own).filter((it) => isEmpty(own[it])).forEach((it) => delete own[it]);
    keep(ownKey, isEmpty(own) ? null : { version: VERSION, recipes: own });
};
const formOf = (recipe) => [...document.querySelectorAll("form[data-kettle-own]")].find((it) => it.dataset.kettleOwn === recipe);
const openers = (recipe) => [...document.querySelectorAll("[data-kettle-own-open]")].filter((it) => it.dataset.kettleOwnOpen === recipe);

// Tells beside the fields what the calculator says of them.
const tell = (form, told) => {
    form.querySelectorAll("[data-kettle-said]").forEach((slot) => {
        const said = told ? told.said.filter((it) => it.field === slot.dataset.kettleSaid) : [];
        slot.textContent = said.map((it) => it.words).join(" ");
        const field = form.elements[slot.dataset.kettleSaid];
        if (field) field.setAttribute("aria-invalid", said.some((it) => it.is_refusal));
    });
    form.querySelector("[data-kettle-told]").innerHTML = told ? told.html : "";
};
// All that depends on what is set changes in one step, and what is touched keeps its place on the screen.
const follow = (ask) => {
    const touched = document.activeElement && document.activeElement.closest("form[data-kettle-own]");
    const before = touched && touched.getBoundingClientRect().top;
    const { pieces = [], told = {} } = ask({ page: { own: ownOfPage() } });
    pieces.forEach(([number, html]) => put(number, html));
    document.querySelectorAll("form[data-kettle-own]").forEach((form) => tell(form, told[form.dataset.kettleOwn]));
    if (touched) scrollBy({ top: touched.getBoundingClientRect().top - before, behavior: "instant" });
    document.dispatchEvent(new Event("kettle-followed"));
};

const fieldsOf = (form) => {
    const filled = [...new FormData(form)].map(([name, value]) => [name, wellFormed(String(value)).trim()]);
    return Object.fromEntries(filled.filter(([, value]) => value));
};
// The fields of the ways that were not chosen are put away, and keep what is in them.
const showWays = (form) => {
    const way = form.elements.size.value;
    form.querySelectorAll("[data-kettle-ways]").forEach((it) => (it.hidden = !it.dataset.kettleWays.split(" ").includes(way)));
};
const say = (words) => {
    const notice = document.createElement("p");
    notice.className = "kettle-own-notice";
    notice.setAttribute("role", "status");
    notice.textContent = words;
    const main = document.querySelector("main");
    if (main && words) main.prepend(notice);
};

const openForm = async (button) => {
    const recipe = button.dataset.kettleOwnOpen;
    const there = formOf(recipe);
    if (there) return there.querySelector("select, input").focus();
    const { ask, refused } = await calculatorOfPage();
    if (refused) return say(refused);
    const { html } = ask({ fields: { recipe, fields: own[recipe] || {} } });
    // What was remembered may have put another card in the place of the one whose button was pressed.
    const opener = button.isConnected ? button : openers(recipe)[0];
    const block = opener && opener.closest(".kettle");
    if (!html || !block || formOf(recipe)) return undefined;
    const holder = document.createElement("template");
    holder.innerHTML = html;
    const form = holder.content.querySelector("form");
    // Behind the comment that ends the block, which is replaced up to there.
    let end = block;
    while (end.nextSibling && end.data !== "/kettle") end = end.nextSibling;
    end.after(form);
    showWays(form);
    form.addEventListener("change", () => {
        showWays(form);
        own[recipe] = fieldsOf(form);
        store();
        follow(ask);
    });
    form.addEventListener("submit", (event) => event.preventDefault());
    // To mdBook arrows turn the page and letters open its search; in here they move the cursor and type.
    form.addEventListener("keydown", (event) => event.stopPropagation());
    if (!isEmpty(own[recipe])) tell(form, ask({ page: { own: ownOfPage() } }).told[recipe]);
    form.querySelector("select, input").focus();
    return undefined;
};
const closeForm = (recipe) => {
    const form = formOf(recipe);
    if (form) form.remove();
    const [button] = openers(recipe);
    if (button) button.focus();
};

const showButtons = (root) => within(root, "[data-kettle-own-open]").forEach((it) => (it.hidden = false));
const startOwn = () => {
    if (!marker) return;
    findPlaces(document);
    showButtons(document);
    document.addEventListener("click", async (event) => {
        const button = event.target.closest("[data-kettle-own-open], [data-kettle-own-undo], [data-kettle-own-close], a.kettle-sheet");
        if (!button) return;
        const { kettleOwnOpen, kettleOwnUndo, kettleOwnClose } = button.dataset;
        if (kettleOwnOpen) openForm(button);
        if (kettleOwnClose) closeForm(kettleOwnClose);
        if (kettleOwnUndo) {
            const hadFields = formOf(kettleOwnUndo);
            delete own[kettleOwnUndo];
            store();
            if (hadFields) hadFields.remove();
            follow((await calculatorOfPage()).ask);
            const [opener] = openers(kettleOwnUndo);
            if (opener) opener.focus({ preventScroll: true });
        }
        if (button.matches("a.kettle-sheet")) {
            // A page opened as a file may not see what this one remembers, so the sheet is told by its address.
            const opener = button.closest(".kettle").querySelector("[data-kettle-own-open]");
            const fields = opener && own[opener.dataset.kettleOwnOpen];
            const [address] = button.getAttribute("href").split("#");
            button.setAttribute("href", isEmpty(fields) ? address : `${address}#${encodeURIComponent(JSON.stringify(fields))}`);
        }
    });
    // What was set before, on this page or on another lesson of the recipe.
    const remember = async () => {
        let kept = null;
        try {
            kept = localStorage.getItem(ownKey);
        } catch (refused) {
            // As above.
        }
        if (!kept) {
            if (isEmpty(own)) return;
            own = {};
            follow((await calculatorOfPage()).ask);
            return;
        }
        const concerns = () => {
            try {
                const { recipes } = JSON.parse(kept);
                return Array.isArray(recipes) || Object.keys(recipes).some((it) => recipesOfPage.includes(it));
            } catch (unreadable) {
                return true;
            }
        };
        if (!concerns()) return;
        const { ask, refused } = await calculatorOfPage();
        if (refused) {
            say(refused);
            return;
        }
        const answer = ask({ remembered: { kept: wellFormed(kept) } });
        own = answer.own || {};
        store();
        (answer.gone || []).forEach(say);
        follow(ask);
    };
    remember();
    whenKeptElsewhere(ownKey, remember);
};

arrange(document);
showUnits();
startOwn();
