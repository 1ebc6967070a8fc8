// What the build puts in place of these names.

/** Address of the worker's script, "/worker-….js". */
declare const __WORKER__: string;
/** Address of the WebAssembly file, "/bucktail-….wasm". */
declare const __MODULE__: string;
