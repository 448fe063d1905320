/* Written by Kettlebook at every build: changes made here are lost. */

/* Remembers ticks and answers in this browser, and judges answers. Nothing leaves the page. A plain script, because a module
   would not load from a memory stick (file://). Without it the boxes still tick, until the page is left; there is no field
   for an answer, and the answer itself still opens, without its explanation. */
(() => {
    "use strict";

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

    const textOf = (it) => it.textContent.replace(/\s+/g, " ").trim();

    // The same card or exercise may be open in another tab or on the print page.
    const whenKeptElsewhere = (key, show) =>
        window.addEventListener("storage", (event) => {
            if (event.key === key || event.key === null) show();
        });

    /* Printing. mdBook's printer leads to the page of the whole course; each page gets a printer of its own beside it. On
       that page stand contents, and what instructors keep to themselves is left out until somebody asks for it. */
    const PRINT_WORDS = { lesson: "Print this page", course: "Print the whole course", contents: "Contents", all: "With the pages that are left out" };
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
    document.querySelectorAll("[data-kettle-to]").forEach((button) => {
        const here = button.closest(".kettle");
        const ofKind = [...document.querySelectorAll(`.kettle-${button.dataset.kettleTo}`)];
        // A box of cautions is of all that its page shows.
        const blocks = ofKind.filter((it) => button.dataset.kettleTo === "safety" || titleOf(it) === titleOf(here));
        const isAbove = (it) => it.compareDocumentPosition(here) & Node.DOCUMENT_POSITION_FOLLOWING;
        const above = blocks.filter(isAbove);
        const block = above.length ? above[above.length - 1] : blocks[0];
        if (!block) return;
        button.hidden = false;
        button.addEventListener("click", () => {
            // The keyboard's place goes along.
            block.tabIndex = -1;
            block.focus({ preventScroll: true });
            block.scrollIntoView();
        });
    });

    /* Ticks of the weighing-out cards and of steps. */
    document.querySelectorAll("[data-kettle-card]").forEach((card) => {
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
        whenKeptElsewhere(key, show);
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
    });

    /* Answers lie in script elements, whose text the search of a book does not find. Here they become part of the page: in
       the block, and in the key that is printed at the end of the lesson. */
    document.querySelectorAll("[data-kettle-practice] script").forEach((sealed) => {
        const isPlain = sealed.type === "text/plain";
        const opened = document.createElement(isPlain ? "b" : "div");
        opened.className = sealed.className;
        if (isPlain) opened.textContent = sealed.textContent;
        else opened.innerHTML = JSON.parse(sealed.textContent);
        // mdBook turns links to pages into links to what becomes of them, but not in here.
        const [lesson] = sealed.closest("[data-kettle-practice]").dataset.kettlePractice.split("#");
        const root = typeof path_to_root === "string" ? path_to_root : "";
        const base = new URL(root + lesson, location.href);
        opened.querySelectorAll("a[href]").forEach((link) => {
            const href = link.getAttribute("href");
            if (/^[a-z][a-z\d+.-]*:/i.test(href) || !/\.md(#|$)/.test(href)) return;
            link.href = new URL(href.replace(/(^|\/)README\.md/, "$1index.md").replace(/\.md(#|$)/, ".html$1"), base).href;
        });
        sealed.replaceWith(opened);
    });

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
    let before = null;
    document.querySelectorAll("[data-kettle], .kettle-result").forEach((it) => {
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
    }

    const GRAMS_PER_OUNCE = 28.349523125;
    // The unit in which an answer is compared, and how many of it there are in what is typed.
    const UNITS = { g: ["g", 1], kg: ["g", 1000], mg: ["g", 0.001], oz: ["oz", 1], lb: ["oz", 16], "%": ["%", 1] };
    const UNIT_WORDS = [
        [/^(g|gramm?e?s?)$/, "g"],
        [/^(kgs?|kilos?|kilogramm?e?s?)$/, "kg"],
        [/^(mg|milligramm?e?s?)$/, "mg"],
        [/^(oz|ozs|ounces?)$/, "oz"],
        [/^(lbs?|pounds?)$/, "lb"],
        [/^(%|pct|percent|per cent)$/, "%"],
    ];

    // A number as people write it; nothing where it is none, and `null` where it could be two. The point is the decimal mark,
    // as on these pages. So is a comma, but before three digits it may as well stand between thousands.
    const numberIn = (typed) => {
        const text = typed.trim().replace(/^([-+])\s+/, "$1");
        const fraction = /^(?:(\d+)\s+)?(\d+)\s*\/\s*([1-9]\d*)$/.exec(text);
        if (fraction) return Number(fraction[1] || 0) + Number(fraction[2]) / Number(fraction[3]);
        if (/^[-+]?(\d+\.?\d*|\.\d+)$/.test(text)) return Number(text);
        if (/^[-+]?[1-9]\d{0,2},\d{3}$/.test(text)) return null;
        if (/^[-+]?\d*,\d+$/.test(text)) return Number(text.replace(",", "."));
        if (/^\d{1,3}([ '’]\d{3})+([.,]\d+)?$/.test(text)) return Number(text.replace(/[ '’]/g, "").replace(",", "."));
        if (/^\d{1,3}(,\d{3})+\.\d+$|^\d{1,3}(,\d{3}){2,}$/.test(text)) return Number(text.replace(/,/g, ""));
        if (/^\d{1,3}(\.\d{3})+,\d+$|^\d{1,3}(\.\d{3}){2,}$/.test(text))
            return Number(text.replace(/\./g, "").replace(",", "."));
        return undefined;
    };

    // What somebody typed: a number and its unit, if there is one; or why it cannot be read, as the name of a sentence.
    const read = (typed) => {
        const text = typed
            .replace(/(\d)\s*([¼-¾⅐-⅞])/g, "$1 $2")
            .normalize("NFKC")
            .replace(/\u2044/g, "/")
            .replace(/[−–]/g, "-")
            .toLowerCase()
            .replace(/\s+/g, " ")
            .replace(/\band\b/g, " ")
            .trim();
        const parts = [...text.matchAll(/([^a-z%]+)((?:per cent|[a-z]+|%)?)\.?/g)];
        if (!parts.length || parts.map(([whole]) => whole).join("") !== text) return { why: "unclear" };
        let sum = null;
        const seen = [];
        for (const [, number, word] of parts) {
            const value = numberIn(sum ? number.replace(/^\s*,/, "") : number);
            if (value === null) return { why: "two-ways" };
            const known = UNIT_WORDS.find(([pattern]) => pattern.test(word));
            if (value === undefined || (word && !known)) return { why: "unclear" };
            const [unit, factor] = known ? UNITS[known[1]] : ["", 1];
            // Pounds and ounces are added up; anything else that follows is no number of one thing.
            if (seen.length && (!known || seen.includes(known[1]) || unit !== sum.unit || unit === "%" || value < 0)) return { why: "unclear" };
            seen.push(known && known[1]);
            sum = { value: value * factor + (sum ? sum.value : 0), unit };
        }
        return sum;
    };

    const inUnit = ({ value, unit }, wanted) => {
        if (unit === wanted) return value;
        if (unit === "g" && wanted === "oz") return value / GRAMS_PER_OUNCE;
        if (unit === "oz" && wanted === "g") return value * GRAMS_PER_OUNCE;
        return undefined;
    };

    /* Practice: finds the sentence for the number that a student types. What is right was decided when the page was built. */
    document.querySelectorAll("[data-kettle-practice]").forEach((practice) => {
        const form = practice.querySelector(".kettle-try");
        if (!form) return;
        const input = form.querySelector("input");
        const select = form.querySelector("select");
        const reply = form.querySelector(".kettle-reply");
        const targets = [...form.querySelectorAll("[data-kettle-expected]")];
        if (!input || !reply || !targets.length) return;
        const key = `kettle-answers/${course}/${practice.dataset.kettlePractice}`;
        const ask = practice.querySelector(".kettle-ask");
        // An answer to what was asked before is none to this.
        const exercise = [ask, ...targets].map((it) => it && textOf(it) + JSON.stringify(it.dataset)).join("\n");
        let isChecked = false;

        // Whoever reads in ounces is asked for ounces; what is typed already keeps its unit.
        const chosenUnit = () => Math.max(0, targets.findIndex((it) => it.textContent === document.documentElement.dataset.kettleUnits));
        document.addEventListener("kettle-units", () => {
            if (select && !input.value) select.selectedIndex = chosenUnit();
        });

        // The first span that holds the number says what is told.
        const verdict = (number, target) => {
            const hair = 1e-9 * Math.max(1, Math.abs(number));
            const spans = target.dataset.kettleSpans.split("; ").map((it) => it.split(" "));
            const span = spans.find(([, least, most]) => number >= least - hair && number <= Number(most) + hair);
            if (span) return span[0];
            return number < target.dataset.kettleExpected ? "more" : "less";
        };
        const judge = () => {
            const typed = read(input.value);
            if (typed.why) return typed.why;
            // A unit typed after the number is no mistake, and chooses the unit.
            const own = targets.findIndex((it) => it.textContent === typed.unit);
            if (typed.unit && own >= 0 && select) select.selectedIndex = own;
            const target = targets[select ? select.selectedIndex : 0];
            const number = typed.unit ? inUnit(typed, target.textContent) : typed.value;
            return number === undefined ? "another" : verdict(number, target);
        };
        const say = (name) => {
            const isUnread = ["unclear", "two-ways", "another"].includes(name);
            form.dataset.kettleState = !name || name === "right" ? name : isUnread ? "unclear" : "wrong";
            reply.textContent = name && form.getAttribute(`data-kettle-${name}`);
        };
        const store = () => {
            const unit = select ? select.selectedIndex : 0;
            keep(key, input.value ? { exercise, typed: input.value, unit, checked: isChecked } : null);
        };
        const show = () => {
            const kept = recall(key);
            const isValid = kept && kept.exercise === exercise && typeof kept.typed === "string";
            if (kept && !isValid) keep(key, null);
            input.value = isValid ? kept.typed : "";
            if (select) select.selectedIndex = isValid && targets[kept.unit] ? kept.unit : chosenUnit();
            isChecked = Boolean(isValid && kept.checked);
            say(isChecked ? judge() : "");
        };

        // Whoever comes to the field by itself hears what is asked, and how far off an answer may be. No ids: the print page
        // has every lesson in it.
        const within = form.querySelector(".kettle-why");
        input.setAttribute("aria-description", [ask, within].map((it) => it && textOf(it)).join(" "));
        form.hidden = false;
        show();
        whenKeptElsewhere(key, show);
        form.addEventListener("submit", (event) => {
            event.preventDefault();
            isChecked = true;
            say(judge());
            store();
        });
        // What was said of another number must not stand beside this one.
        form.addEventListener("input", () => {
            isChecked = false;
            say("");
            store();
        });
        // To mdBook arrows turn the page and letters open its search; in here they move the cursor and type.
        form.addEventListener("keydown", (event) => event.stopPropagation());
    });

    /* Practice by choosing: says why the choice that is asked about is right or wrong. Asked about and not merely touched,
       since the arrow keys choose whatever they pass. */
    document.querySelectorAll("[data-kettle-practice]").forEach((practice) => {
        const form = practice.querySelector(".kettle-choose");
        if (!form) return;
        const radios = [...form.querySelectorAll("input[type=radio]")];
        const button = form.querySelector("button");
        const reply = form.querySelector(".kettle-reply");
        if (!radios.length || !button || !reply) return;
        const key = `kettle-answers/${course}/${practice.dataset.kettlePractice}`;
        const choiceOf = (radio) => radio.closest(".kettle-choice");
        const asked = [...practice.querySelectorAll(".kettle-ask")].map(textOf);
        // An answer to what was asked before is none to this.
        const exercise = [...asked, ...radios.map((it) => textOf(it.closest("label")) + it.dataset.kettleVerdict)].join("\n");
        let isChecked = false;

        const chosen = () => radios.findIndex((it) => it.checked);
        const say = () => {
            const radio = isChecked ? radios[chosen()] : undefined;
            const verdict = radio ? radio.dataset.kettleVerdict : isChecked ? "nothing" : "";
            form.dataset.kettleState = verdict === "nothing" ? "unclear" : verdict;
            reply.replaceChildren();
            if (!verdict) return;
            const words = document.createElement("p");
            words.textContent = (radio ? `${radio.value}: ` : "") + form.getAttribute(`data-kettle-${verdict}`);
            reply.append(words);
            const why = radio && choiceOf(radio).querySelector(".kettle-told");
            if (!why) return;
            const told = why.cloneNode(true);
            told.className = "kettle-because";
            reply.append(told);
        };
        const store = () => keep(key, chosen() < 0 ? null : { exercise, chosen: chosen(), checked: isChecked });
        const show = () => {
            const kept = recall(key);
            const isValid = kept && kept.exercise === exercise && Boolean(radios[kept.chosen]);
            if (kept && !isValid) keep(key, null);
            // A browser may bring its own choice back after a reload.
            radios.forEach((it, index) => (it.checked = Boolean(isValid && kept.chosen === index)));
            isChecked = Boolean(isValid && kept.checked);
            say();
        };

        button.hidden = false;
        show();
        whenKeptElsewhere(key, show);
        form.addEventListener("submit", (event) => {
            event.preventDefault();
            isChecked = true;
            say();
            store();
        });
        // What was said of another choice must not stand beside this one.
        form.addEventListener("change", () => {
            isChecked = false;
            say();
            store();
        });
        // To mdBook arrows turn the page; in here they choose.
        form.addEventListener("keydown", (event) => event.stopPropagation());
    });
})();
