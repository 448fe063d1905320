/* The bench: timers for the steps that wait, and the list of steps in large type. Written behind kettle.js into the same
   file, inside one function: what is kept and recalled is there. A timer is kept as the times at which it began and ends, so
   that it counts on while the page is hidden or closed. The lengths come with the block, the words too. */

// Brings the lists of steps in a part of the page to life. What it needs for that has names of its own.
const arrangeBench = (() => {
    const MINUTE = 60000;
    const DAY = 1440 * MINUTE;
    // What nobody can have started: a cure of years, or a timer from tomorrow. Clocks are set back by a little now and then.
    const LONGEST = 1200 * DAY;
    const SET_BACK = 5 * MINUTE;
    // A screen is not kept awake all night for a step list that somebody left lying.
    const LEFT_LYING = 180 * MINUTE;
    // A delay beyond this many milliseconds is taken by browsers as none.
    const LONGEST_DELAY = 2 ** 31 - 1;

    // By card: its block, where it is kept, what is kept by step, the timers as they stand in the page. A block that is put into
    // the page anew takes the place of the one before it.
    const benches = new Map();
    const LARGE = `kettle-large/${course}`;
    let isLarge = recall(LARGE) === true;
    let touchedAt = Date.now();

    const fill = (words, values) => (words || "").replace(/\{(\w+)\}/g, (whole, name) => (Object.hasOwn(values, name) ? values[name] : whole));

    /* Times as the reader's own clock tells them, in the language of the page. */
    const language = document.documentElement.lang || undefined;
    const inLanguage = (make) => {
        try {
            return make(language);
        } catch (unknown) {
            return make(undefined);
        }
    };
    const { hourCycle } = new Intl.DateTimeFormat(undefined, { hour: "numeric" }).resolvedOptions();
    const clockOf = (parts) => inLanguage((it) => new Intl.DateTimeFormat(it, { ...parts, hour: "numeric", minute: "2-digit", hourCycle }));
    const timeOfDay = clockOf({});
    const dayAndTime = clockOf({ weekday: "short", day: "numeric", month: "short" });
    const whenOf = (time, now) => {
        const isToday = new Date(time).toDateString() === new Date(now).toDateString();
        return (isToday ? timeOfDay : dayAndTime).format(time);
    };
    const numberOf = (unit) => inLanguage((it) => new Intl.NumberFormat(it, { style: "unit", unit, unitDisplay: "long" }));
    const [daysIn, hoursIn] = [numberOf("day"), numberOf("hour")];
    const leftOf = (ms) => {
        const seconds = Math.ceil(ms / 1000);
        const two = (it) => String(it).padStart(2, "0");
        const [days, hours, minutes] = [Math.floor(seconds / 86400), Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
        if (days) return [daysIn.format(days), hours % 24 ? hoursIn.format(hours % 24) : ""].join(" ").trim();
        return hours ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
    };

    /* What is kept of a timer: when it began, from when on somebody may look, when it ends, and up to which of the two it was
       called (`told`) and answered (`seen`). */
    const isTimer = (it, now) =>
        it !== null &&
        typeof it === "object" &&
        [it.began, it.soonest, it.ends, it.told, it.seen].every(Number.isFinite) &&
        it.began <= now + SET_BACK &&
        it.began < it.soonest &&
        it.soonest <= it.ends &&
        it.ends - it.began <= LONGEST;
    // How far it is: 0 while nothing is over, 1 after the shorter of two times, 2 at its end.
    const stageOf = (it, now) => (now >= it.ends ? 2 : now >= it.soonest ? 1 : 0);
    const isTicked = (part) => Boolean(part.tick && part.tick.checked);
    const isCalling = (bench, part, now) => {
        const kept = bench.kept[part.step];
        return Boolean(kept) && !isTicked(part) && stageOf(kept, now) > kept.seen;
    };

    const store = (bench) => keep(bench.key, Object.keys(bench.kept).length ? bench.kept : null);
    // A browser may refuse its store; timers then last as long as the page does.
    const keepsAnything = (() => {
        try {
            return Boolean(localStorage);
        } catch (refused) {
            return false;
        }
    })();
    // What is wrong, of a step that is gone, or a call at the bench that nobody answered yesterday, is dropped for good.
    const readKept = (bench) => {
        if (!keepsAnything) return;
        const now = Date.now();
        const found = recall(bench.key);
        const entries = found !== null && typeof found === "object" ? Object.entries(found) : [];
        const isWanted = ([step, it]) => {
            const part = bench.parts.get(step);
            return part && isTimer(it, now) && !(part.atBench && now - it.ends > DAY);
        };
        const wanted = entries.filter(isWanted);
        bench.kept = Object.fromEntries(wanted);
        if (found !== null && (!wanted.length || wanted.length < entries.length)) store(bench);
    };

    const call = (bench, due) => {
        const words = due.map((it) => it.words).join(" ");
        // Text that a live region is born with is not read out, so on opening a page it is put in a little later.
        window.setTimeout(() => (bench.aloud.textContent = words), bench.isNew ? 400 : 0);
        if (!due.some((it) => it.part.atBench)) return;
        bell.sound();
        const mayMove = !navigator.userActivation || navigator.userActivation.hasBeenActive;
        if (navigator.vibrate && mayMove) navigator.vibrate([300, 150, 300, 150, 300]);
        try {
            // Never asked for; whoever allowed it for these pages is told outside of them.
            if (document.hidden && window.Notification && Notification.permission === "granted")
                new Notification(words, { tag: bench.key });
        } catch (refused) {
            // Some browsers know the word and refuse the thing.
        }
    };

    /* The screen stays awake while somebody works by it. */
    let lock = null;
    let isAskedFor = false;
    const stayAwake = (isWanted) => {
        if (!isWanted) {
            if (lock) lock.release().catch(() => {});
            lock = null;
            return;
        }
        if (lock || isAskedFor || document.hidden || !navigator.wakeLock) return;
        isAskedFor = true;
        const got = (it) => {
            isAskedFor = false;
            if (lock) lock.release().catch(() => {});
            lock = it;
            it.addEventListener("release", () => {
                if (lock === it) lock = null;
            });
            // What was wanted may have ended meanwhile.
            refresh();
        };
        // A refusal is asked again when the page is next looked at or touched, and not every second.
        navigator.wakeLock.request("screen").then(got, () => {});
    };

    /* What the page shows. Texts change in place; nothing comes or goes but the bar at the foot of the window. */
    const show = (element, text) => {
        if (element.textContent !== text) element.textContent = text;
    };
    const draw = (bench, part, now) => {
        const { kept, stopped } = { kept: bench.kept[part.step], stopped: bench.stopped[part.step] };
        const words = bench.words;
        const stage = kept ? stageOf(kept, now) : 0;
        const calls = isCalling(bench, part, now);
        const said = kept || stopped;
        const times = said && { soonest: whenOf(said.soonest, now), when: whenOf(said.ends, now) };
        const isRange = said && said.soonest < said.ends;
        part.box.dataset.kettleState = isTicked(part) ? "ticked" : calls ? "calls" : kept ? "runs" : stopped ? "stopped" : "";
        show(part.go, kept ? (calls ? words.seen : words.stop) : stopped ? words.back : words.start);
        show(part.more, kept ? fill(words.more, { time: part.moreTime }) : words.anew);
        part.more.dataset.kettleIdle = kept || stopped ? "" : "yes";
        show(part.left, leftOf(!kept ? part.soonest : stage === 2 ? 0 : (stage ? kept.ends : kept.soonest) - now));
        const isOver = stage === 2 ? "over" : stage === 1 ? "soon" : isRange ? "between" : "ends";
        const line = kept ? fill(words[isOver], times) : stopped ? fill(words.stopped, times) : "";
        show(part.when, line);
    };
    const markStep = (bench) => {
        const items = [...bench.block.querySelectorAll(".kettle-times > li")];
        const isOpen = (it) => [...it.querySelectorAll("input[type=checkbox]")].some((box) => !box.checked);
        const current = isLarge ? items.find(isOpen) : undefined;
        items.forEach((it) => {
            if (it === current) it.setAttribute("aria-current", "step");
            else it.removeAttribute("aria-current");
        });
    };

    let titleBefore = null;
    const showTitle = (words) => {
        if (words && titleBefore === null) titleBefore = document.title;
        if (titleBefore === null) return;
        const title = words ? `${words} – ${titleBefore}` : titleBefore;
        if (document.title !== title) document.title = title;
        if (!words) titleBefore = null;
    };

    let pulse = null;
    let alarm = null;
    let alarmAt = null;
    const wakeAt = (time, now) => {
        // Set once for each end: a timer that sets itself again and again is let through once a minute on a hidden page.
        if (time === alarmAt) return;
        window.clearTimeout(alarm);
        alarmAt = time;
        if (time === null) return;
        const ring = () => {
            alarmAt = null;
            refresh();
        };
        alarm = window.setTimeout(ring, Math.min(Math.max(time - now, 0) + 5, LONGEST_DELAY));
    };

    const refresh = () => {
        const now = Date.now();
        const next = [];
        let [runs, needsBench, title] = [false, false, ""];
        benches.forEach((bench, card) => {
            if (!bench.block.isConnected) {
                benches.delete(card);
                return;
            }
            let isChanged = false;
            const calls = [];
            const due = [];
            bench.parts.forEach((part, step) => {
                let kept = bench.kept[step];
                const stage = kept ? stageOf(kept, now) : 0;
                const late = bench.stopped[step];
                if (late && now >= late.ends) delete bench.stopped[step];
                if (kept && stage === 2 && isTicked(part)) {
                    // What is done needs no call.
                    delete bench.kept[step];
                    kept = undefined;
                    isChanged = true;
                }
                draw(bench, part, now);
                if (!kept) return;
                if (stage < 2) {
                    runs = true;
                    next.push(stage ? kept.ends : kept.soonest);
                }
                const isDue = isCalling(bench, part, now);
                if (part.atBench && !isTicked(part) && (stage < 2 || isDue)) needsBench = true;
                if (!isDue) return;
                const words = `${part.name}. ${part.when.textContent}. ${part.then}`;
                calls.push(words);
                title = title || bench.words.title;
                if (kept.told < stage) {
                    kept.told = stage;
                    isChanged = true;
                    due.push({ part, words });
                }
            });
            if (due.length) call(bench, due);
            if (isChanged) store(bench);
            show(bench.bar.firstChild, calls.join(" "));
            bench.bar.hidden = !calls.length;
            markStep(bench);
            bench.isNew = false;
        });
        showTitle(title);
        stayAwake((needsBench || (isLarge && benches.size > 0)) && now - touchedAt < LEFT_LYING);
        if (!needsBench) bell.makeSilent();
        wakeAt(next.length ? Math.min(...next) : null, now);
        if (runs && pulse === null) pulse = window.setInterval(refresh, 1000);
        if (!runs && pulse !== null) {
            window.clearInterval(pulse);
            pulse = null;
        }
    };

    /* What the buttons do. Each stays where it is; a touch on the wrong one can be taken back. */
    const begin = (bench, part) => {
        const now = Date.now();
        bench.kept[part.step] = { began: now, soonest: now + part.soonest, ends: now + part.length, told: 0, seen: 0 };
        delete bench.stopped[part.step];
    };
    const go = (bench, part) => {
        const kept = bench.kept[part.step];
        const stopped = bench.stopped[part.step];
        if (kept && isCalling(bench, part, Date.now())) {
            kept.seen = stageOf(kept, Date.now());
            if (kept.seen === 2) delete bench.kept[part.step];
        } else if (kept) {
            delete bench.kept[part.step];
            bench.stopped[part.step] = kept;
        } else if (stopped) {
            bench.kept[part.step] = stopped;
            delete bench.stopped[part.step];
        } else begin(bench, part);
    };
    const lengthen = (bench, part) => {
        const now = Date.now();
        const kept = bench.kept[part.step];
        if (!kept) {
            begin(bench, part);
            return;
        }
        const stage = stageOf(kept, now);
        if (stage === 2) kept.soonest = kept.ends = now + part.longer;
        else {
            kept.ends += part.longer;
            if (stage === 0) kept.soonest += part.longer;
        }
        kept.told = kept.seen = stageOf(kept, now);
    };

    const button = (name, act) => {
        const it = document.createElement("button");
        it.type = "button";
        it.className = name;
        it.addEventListener("click", act);
        return it;
    };
    const span = (name) => {
        const it = document.createElement("span");
        it.className = name;
        return it;
    };
    const makePart = (bench, box) => {
        const data = box.dataset;
        const item = box.closest("li");
        const part = {
            box,
            step: data.kettleTimer,
            name: data.kettleName,
            then: data.kettleThen,
            soonest: Number(data.kettleSoonest) * 1000,
            length: Number(data.kettleSeconds) * 1000,
            longer: Number(data.kettleMore) * 1000,
            moreTime: data.kettleMoreTime,
            atBench: data.kettleAtBench !== undefined,
            tick: item && item.querySelector("input[type=checkbox]"),
            left: span("kettle-timer-left"),
            when: document.createElement("span"),
        };
        const acts = (act) => () => {
            act(bench, part);
            store(bench);
            if (part.atBench && bench.kept[part.step]) bell.makeAudible();
            refresh();
        };
        part.go = button("kettle-timer-go", acts(go));
        part.more = button("kettle-timer-more", acts(lengthen));
        part.left.setAttribute("role", "timer");
        box.setAttribute("aria-label", fill(bench.words.timer, { name: part.name }));
        // The line that tells of times keeps the room of the longest that it can become.
        const sample = dayAndTime.format(new Date(2026, 8, 30, 22, 30));
        const lines = ["ends", "between", "soon", "over", "stopped"].filter((it) => part.soonest < part.length || !["between", "soon"].includes(it));
        const longest = lines.map((it) => fill(bench.words[it], { when: sample, soonest: sample })).reduce((one, other) => (other.length > one.length ? other : one));
        const room = span("kettle-timer-when");
        room.dataset.kettleRoom = longest;
        room.append(part.when);
        const then = span("kettle-timer-then");
        then.textContent = part.then;
        box.replaceChildren(part.go, part.more, part.left, then, room);
        box.hidden = false;
        return part;
    };
    const makeBar = (bench) => {
        const bar = document.createElement("p");
        bar.className = "kettle-calls";
        const lead = button("kettle-to", () => {
            const part = [...bench.parts.values()].find((it) => isCalling(bench, it, Date.now()));
            if (!part) return;
            part.go.focus({ preventScroll: true });
            part.box.scrollIntoView({ block: "center" });
        });
        lead.textContent = bench.words.show;
        bar.append(document.createElement("span"), lead);
        return bar;
    };

    const showLarge = () => {
        benches.forEach((bench) => {
            bench.block.classList.toggle("kettle-large", isLarge);
            if (bench.large) bench.large.setAttribute("aria-pressed", String(isLarge));
        });
    };
    const switchLarge = (bench) => {
        const before = bench.large.getBoundingClientRect().top;
        isLarge = !isLarge;
        keep(LARGE, isLarge || null);
        showLarge();
        // A list above that has grown must not push the button from under the thumb.
        window.scrollBy({ top: bench.large.getBoundingClientRect().top - before, behavior: "instant" });
        refresh();
    };

    /* The lists of steps in a part of the page: the document, or a block that was put into it anew. */
    const arrange = (root) => {
        const blocks = [...root.querySelectorAll(".kettle-timeline[data-kettle-card]")];
        if (root.matches && root.matches(".kettle-timeline[data-kettle-card]")) blocks.unshift(root);
        blocks.forEach((block) => {
            const card = block.dataset.kettleCard;
            const former = benches.get(card);
            const said = Object.entries(block.dataset).filter(([name]) => name.startsWith("kettleSay"));
            const words = Object.fromEntries(said.map(([name, it]) => [name.slice(9).toLowerCase(), it]));
            const bench = { block, words, key: `kettle-timers/${course}/${card}`, kept: {}, parts: new Map(), isNew: true };
            // What was stopped can still be brought back after its amounts have changed.
            bench.stopped = former ? former.stopped : {};
            block.querySelectorAll("[data-kettle-timer]").forEach((box) => {
                const part = makePart(bench, box);
                bench.parts.set(part.step, part);
            });
            block.querySelectorAll(".kettle-calls, .kettle-aloud").forEach((it) => it.remove());
            bench.bar = makeBar(bench);
            bench.aloud = span("kettle-aloud");
            bench.aloud.setAttribute("role", "status");
            block.append(bench.bar, bench.aloud);
            const arm = block.querySelector(".kettle-arm");
            bench.large = arm && arm.querySelector("button");
            if (bench.large) {
                arm.hidden = false;
                bench.large.addEventListener("click", () => switchLarge(bench));
            }
            if (former) {
                // The same steps with other amounts: what runs keeps its end, and what is gone is forgotten.
                bench.kept = Object.fromEntries(Object.entries(former.kept).filter(([step]) => bench.parts.has(step)));
                store(bench);
            } else readKept(bench);
            benches.set(card, bench);
        });
        showLarge();
        refresh();
    };

    const isTouched = () => {
        touchedAt = Date.now();
        isAskedFor = false;
        const isWaitedFor = (bench) => [...bench.parts.values()].some((it) => it.atBench && bench.kept[it.step]);
        if ([...benches.values()].some(isWaitedFor)) bell.makeAudible();
        // Ticks are set by whoever is asked after us, so what depends on them is looked at when all have been.
        if (benches.size) window.setTimeout(refresh);
    };
    ["click", "keydown"].forEach((it) => document.addEventListener(it, isTouched));
    document.addEventListener("visibilitychange", () => {
        isAskedFor = false;
        refresh();
    });
    // Back by the browser's own button, a page stands as it was left.
    window.addEventListener("pageshow", (event) => {
        if (event.persisted) benches.forEach(readKept);
        refresh();
    });
    window.addEventListener("storage", (event) => {
        const isOurs = (it) => event.key === null || event.key === it;
        if (isOurs(LARGE)) {
            isLarge = recall(LARGE) === true;
            showLarge();
        }
        benches.forEach((bench) => {
            if (isOurs(bench.key)) readKept(bench);
        });
        // The ticks too may have been changed elsewhere.
        refresh();
    });
    return arrange;
})();
arrangements.push(arrangeBench);
