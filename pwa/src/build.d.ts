// What the build puts in place of these names.

/** Address of the worker's script, "/worker-….js". */
declare const __WORKER__: string;
/** Address of the WebAssembly that measures, "/bucktail-….wasm". */
declare const __MODULE__: string;
/** Address of the WebAssembly that makes reports and the like, "/papers-….wasm". */
declare const __PAPERS__: string;
