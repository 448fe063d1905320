/* The sound at the end of a timer. Written before bench.js into the same file. */

/* Browsers let a page sound only after a touch or a key, so what sounds is made then, and put away when no timer at the bench
   needs it. */
const bell = (() => {
    let audio = null;
    const makeAudible = () => {
        const Audio = window.AudioContext || window.webkitAudioContext;
        if (!Audio) return;
        try {
            audio = audio || new Audio();
            if (audio.state !== "running") audio.resume().catch(() => {});
        } catch (refused) {
            audio = null;
        }
    };
    const makeSilent = () => {
        if (audio) audio.close().catch(() => {});
        audio = null;
    };
    // Three calls of three beats, high enough to be heard over water that runs.
    const sound = () => {
        if (!audio) return;
        const play = () => {
            if (!audio) return;
            [0, 2, 4].forEach((call) =>
                [0, 0.3, 0.6].forEach((beat) => {
                    const at = audio.currentTime + 0.05 + call + beat;
                    const [tone, loudness] = [audio.createOscillator(), audio.createGain()];
                    tone.frequency.value = 1047;
                    loudness.gain.setValueAtTime(0, at);
                    loudness.gain.linearRampToValueAtTime(0.4, at + 0.02);
                    loudness.gain.linearRampToValueAtTime(0, at + 0.2);
                    tone.connect(loudness).connect(audio.destination);
                    tone.start(at);
                    tone.stop(at + 0.22);
                }),
            );
        };
        if (audio.state === "running") play();
        else audio.resume().then(play, () => {});
    };
    return { makeAudible, makeSilent, sound };
})();

