/* The calculator of Kettlebook as WebAssembly, for the pages of a course: packed by gzip, written in base64. Made by
   theme/calculator/build; a plain script, since neither a module nor a file of bytes loads from a memory stick. */
(globalThis.kettle = globalThis.kettle || { pages: {} }).calculator = async () => {
    "use strict";
    const letters = atob("KETTLE_BYTES");
    const packed = new Uint8Array(letters.length);
    for (let at = 0; at < letters.length; at += 1) packed[at] = letters.charCodeAt(at);
    const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    const headers = { "Content-Type": "application/wasm" };
    const { instance } = await WebAssembly.instantiateStreaming(new Response(unpacked, { headers }), {});
    const { memory, kettle_room, kettle_ask, kettle_length } = instance.exports;
    return (question) => {
        const asked = new TextEncoder().encode(JSON.stringify(question));
        // The memory may grow, and is another buffer then: it is looked up after each call.
        const room = kettle_room(asked.length);
        new Uint8Array(memory.buffer, room, asked.length).set(asked);
        const answer = kettle_ask();
        return JSON.parse(new TextDecoder().decode(new Uint8Array(memory.buffer, answer, kettle_length())));
    };
};
