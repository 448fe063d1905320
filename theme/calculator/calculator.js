/* The calculator of Kettlebook as WebAssembly, for the pages of a course: packed by gzip, written in base64. Made by
   theme/calculator/build; a plain script, since neither a module nor a file of bytes loads from a memory stick. */
(globalThis.kettle = globalThis.kettle || { pages: {} }).calculator = async () => {
    "use strict";
    const packed = Uint8Array.from(atob("KETTLE_BYTES"), (it) => it.charCodeAt(0));
    const unpacked = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    const { instance } = await WebAssembly.instantiate(await new Response(unpacked).arrayBuffer(), {});
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
