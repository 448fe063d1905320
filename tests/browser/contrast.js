// The value of this script: every text of ours on the page with less than 4.5 to 1 against what lies behind it, every
// tick box whose edge has less than 3 to 1, and how much was measured. The formulas are those of WCAG 2.2.
(() => {
    const parse = (color) => {
        const parts = (color.match(/^rgba?\(([^)]+)\)$/) || [0, ""])[1].split(",").map(Number);
        if (parts.length < 3 || parts.some(Number.isNaN)) throw new Error(`a colour in another notation: ${color}`);
        return parts;
    };
    const luminance = (color) =>
        color
            .slice(0, 3)
            .map((it) => it / 255)
            .map((it) => (it <= 0.04045 ? it / 12.92 : ((it + 0.055) / 1.055) ** 2.4))
            .reduce((sum, it, index) => sum + it * [0.2126, 0.7152, 0.0722][index], 0);
    const ratio = (one, other) => {
        const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
        return (light + 0.05) / (dark + 0.05);
    };
    const behind = (element) => {
        for (let it = element; it; it = it.parentElement) {
            const style = getComputedStyle(it);
            const color = parse(style.backgroundColor);
            if (Number(style.opacity) !== 1) throw new Error("half-transparent elements are not measured");
            if (color.length === 3 || color[3] === 1) return color;
            if (color[3] !== 0) throw new Error("half-transparent backgrounds are not measured");
        }
        return [255, 255, 255];
    };
    const found = { measured: 0, low: [] };
    const judge = (element, color, needed) => {
        found.measured += 1;
        const measured = ratio(parse(color), behind(element));
        if (measured < needed) found.low.push(`${element.className} ${element.textContent}: ${measured.toFixed(2)}`);
    };
    for (const element of document.querySelectorAll(".kettle *")) {
        const style = getComputedStyle(element);
        const hasText = [...element.childNodes].some((it) => it.nodeType === Node.TEXT_NODE && it.data.trim());
        const isDrawn = element instanceof SVGElement;
        if (hasText && (!isDrawn || element.tagName === "text")) judge(element, isDrawn ? style.fill : style.color, 4.5);
        const hasEdge = ["checkbox", "text", "select-one", "submit"].includes(element.type);
        if (hasEdge) judge(element.parentElement, style.borderTopColor, 3);
    }
    return found;
})();
