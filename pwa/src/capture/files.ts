// Photos from the phone's own camera app or the gallery.

/**
 * Asks for photos by the system's own means; [] when nothing was chosen. Call from a click.
 *
 * @param how "camera" opens the camera app (full size, EXIF, in plain HTTP too), "gallery" lets
 *   several be chosen.
 */
export function askForPhotos(how: "camera" | "gallery"): Promise<File[]> {
  return new Promise((resolve) => {
    const input = document.createElement("input");
    input.type = "file";
    // On phones image/* makes iOS hand over JPEG, whatever was taken; on laptops the list keeps
    // HEIC out where the system can convert it.
    input.accept = matchMedia("(pointer: coarse)").matches ? "image/*" : "image/jpeg,image/png";
    if (how === "camera") input.setAttribute("capture", "environment");
    else input.multiple = true;
    input.hidden = true;
    input.dataset["ask"] = how; // tests find it so
    document.body.append(input);
    const done = (files: File[]): void => {
      input.remove();
      resolve(files);
    };
    input.addEventListener("change", () => done([...(input.files ?? [])]), { once: true });
    input.addEventListener("cancel", () => done([]), { once: true });
    input.click();
  });
}

/** Hands a file to the builder: to the share sheet where there is one, else as a download. */
export async function handOver(name: string, file: Blob): Promise<void> {
  const f = new File([file], name, { type: file.type });
  if (matchMedia("(pointer: coarse)").matches && navigator.canShare?.({ files: [f] })) {
    try {
      await navigator.share({ files: [f] });
      return;
    } catch (e) {
      if (e instanceof DOMException && e.name === "AbortError") return; // the builder changed their mind
    }
  }
  const url = URL.createObjectURL(f);
  const a = document.createElement("a");
  a.href = url;
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
