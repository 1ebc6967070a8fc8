/**
 * Waits until what was just drawn is on the screen: what is large must not hold it up. A page that
 * is hidden draws nothing and does not wait.
 */
export function painted(): Promise<void> {
  if (typeof document === "undefined" || document.visibilityState === "hidden")
    return Promise.resolve();
  return new Promise((resolve) => {
    requestAnimationFrame(() => setTimeout(resolve)); // behind the frame
    setTimeout(resolve, 1000); // hidden in the meantime
  });
}
