/* The batch sheet for what a student set in the lesson, which its address says. Without that it stays the lesson's. */
(async () => {
    "use strict";
    const { kettleRecipe: recipe } = document.currentScript.dataset;
    const typed = decodeURIComponent(location.hash.slice(1));
    if (!typed.startsWith("{") || typeof WebAssembly !== "object" || typeof DecompressionStream !== "function") return;
    // Amounts of the lesson must not stand here while those of another batch are asked for.
    document.body.hidden = true;
    let html = "";
    let words = "";
    try {
        const load = (name) =>
            new Promise((resolve, reject) => {
                const script = document.createElement("script");
                script.src = `../kettle/${name}`;
                script.addEventListener("load", resolve);
                script.addEventListener("error", reject);
                document.head.append(script);
            });
        await Promise.all([load("calculator.js"), load("course.js")]);
        const ask = await globalThis.kettle.calculator();
        ask({ open: { course: globalThis.kettle.course, page: null } });
        ({ html = "", refused: words = "" } = ask({ sheet: { recipe, fields: JSON.parse(typed) } }));
    } catch (refused) {
        words = String(refused);
    }
    if (html) {
        document.body.replaceWith(new DOMParser().parseFromString(html, "text/html").body);
        // Scripts of what was put in do not run.
        const button = document.querySelector(".screen button");
        if (button) button.addEventListener("click", () => print());
    } else {
        document.body.textContent = words;
    }
    document.body.hidden = false;
})();
