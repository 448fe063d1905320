/* Written by Kettlebook at every build: changes made here are lost. */

/* Remembers the ticks of the weighing-out cards in this browser. Nothing leaves the page. A plain script, because a
   module would not load from a memory stick (file://). Without it the boxes still tick, until the page is left. */
(() => {
    "use strict";

    // Pages opened as files may all share one store, so the book's title keeps courses apart.
    const menuTitle = document.querySelector(".menu-title");
    const PREFIX = `kettle-ticks/${menuTitle ? menuTitle.textContent.trim() : ""}/`;

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

    document.querySelectorAll("[data-kettle-card]").forEach((card) => {
        const key = PREFIX + card.dataset.kettleCard;
        const boxes = [...card.querySelectorAll("input[type=checkbox]")];
        const text = (box) => (box.closest("label") || box).textContent.replace(/\s+/g, " ").trim();
        // What was weighed by older amounts was not weighed by these: such ticks must not come back.
        const amounts = boxes.map(text).join("\n");
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
        // The same card may be open in another tab or on the print page.
        window.addEventListener("storage", (event) => {
            if (event.key === key || event.key === null) show();
        });
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
})();

/* Practice: compares the number that a student types with the one that the page was built with. Without this script there
   is no field, and the answer still opens. */
(() => {
    "use strict";

    // All numbers that a text may mean. Comma and point are both the decimal mark; before three digits either may also
    // stand between thousands.
    const readings = (text) => {
        const digits = text.replace(/[\s'’]/g, "").replace(/^[−–]/, "-");
        const found = [];
        if (/^[-+]?(\d+[.,]?\d*|[.,]\d+)$/.test(digits)) found.push(Number(digits.replace(",", ".")));
        const grouped = /^(\d{1,3}(?:,\d{3})+)(\.\d+)?$/.exec(digits) || /^(\d{1,3}(?:\.\d{3})+)(,\d+)?$/.exec(digits);
        if (grouped) found.push(Number(grouped[1].replace(/[.,]/g, "") + (grouped[2] || "").replace(",", ".")));
        return found;
    };

    document.querySelectorAll(".kettle-try").forEach((form) => {
        const input = form.querySelector("input");
        const select = form.querySelector("select");
        const reply = form.querySelector(".kettle-reply");
        const targets = [...form.querySelectorAll("[data-kettle-expected]")];
        if (!input || !reply || !targets.length) return;

        const say = (state, words) => {
            form.dataset.kettleState = state;
            reply.textContent = words;
        };
        const answer = () => {
            // A unit typed after the number is no mistake, and chooses the unit.
            const [, number, typedUnit] = /^(.*?)\s*([a-z%]*)\.?\s*$/i.exec(input.value.trim()) || [null, "", ""];
            const unitIndex = targets.findIndex((it) => it.textContent.toLowerCase() === typedUnit.toLowerCase());
            const numbers = typedUnit && unitIndex < 0 ? [] : readings(number);
            if (!numbers.length) {
                say("unclear", form.dataset.kettleUnclear);
                return;
            }
            if (select && typedUnit) select.selectedIndex = unitIndex;
            const target = targets[select ? select.selectedIndex : 0];
            const expected = Number(target.dataset.kettleExpected);
            // Sums of decimals miss by a hair in binary.
            const within = Number(target.dataset.kettleWithin) + 1e-9;
            if (numbers.some((it) => Math.abs(it - expected) <= within)) say("right", form.dataset.kettleRight);
            else if (numbers[0] < expected) say("wrong", form.dataset.kettleMore);
            else say("wrong", form.dataset.kettleLess);
        };

        form.hidden = false;
        form.addEventListener("submit", (event) => {
            event.preventDefault();
            answer();
        });
        // What was said of another number must not stand beside this one.
        form.addEventListener("input", () => say("", ""));
        // To mdBook arrows turn the page and letters open its search; in here they move the cursor and type.
        form.addEventListener("keydown", (event) => event.stopPropagation());
    });
})();
