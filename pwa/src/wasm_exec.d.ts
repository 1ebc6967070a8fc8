// Go's own half of the bridge; the build takes it from the compiler's folder.
declare module "wasm_exec";

declare class Go {
  importObject: WebAssembly.Imports;
  exited: boolean;
  run(instance: WebAssembly.Instance): Promise<void>;
}
