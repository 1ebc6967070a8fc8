// Hands the memory of a js/wasm program that Node starts to that program, as the app's worker does:
// node --require. What it is for: imaging/convnet/conv_js.go.
const instantiate = WebAssembly.instantiate;
WebAssembly.instantiate = async (code, imports) => {
  const made = await instantiate(code, imports);
  globalThis.bucktailMemory = made.instance.exports.mem;
  return made;
};
