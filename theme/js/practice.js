/* Exercises. Written behind kettle.js into the same file, inside one function: what is kept and recalled is there. */

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
arrangements.push((root) => within(root, "[data-kettle-practice]").forEach((practice) => {
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
    const span = form.querySelector(".kettle-why");
    input.setAttribute("aria-description", [ask, span].map((it) => it && textOf(it)).join(" "));
    form.hidden = false;
    show();
    whenKeptElsewhere(key, show, form);
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
}));

/* Practice by choosing: says why the choice that is asked about is right or wrong. Asked about and not merely touched,
   since the arrow keys choose whatever they pass. */
arrangements.push((root) => within(root, "[data-kettle-practice]").forEach((practice) => {
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
    whenKeptElsewhere(key, show, form);
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
}));
