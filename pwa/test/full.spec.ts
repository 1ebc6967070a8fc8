import { expect, test } from "@playwright/test";
import { root } from "./goside";
import { Laptop } from "./laptop";
import { button, newAngle, newProject, pairs } from "./workshop";

// The browser gives no more room, and a camera that was denied is allowed after all.

let laptop: Laptop;
test.use({
  launchOptions: {
    executablePath: process.env["CHROMIUM"] ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--use-fake-device-for-media-stream",
      "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
    ],
  },
});
test.beforeAll(async () => {
  laptop = await Laptop.start();
});
test.afterAll(async () => laptop.end());

test("a full phone says so before the shutter, and loses no picture", async ({ page, context }) => {
  test.setTimeout(200_000);
  await pairs(page, laptop, laptop.link.split("#")[1]!, "Bench phone");
  await newProject(page);
  const part = await newAngle(page);

  await test.step("a camera that was denied works once it is allowed", async () => {
    await page.goto(laptop.url + part + "/snap");
    await expect(page.getByText(/may not use the camera/)).toBeVisible();
    await context.grantPermissions(["camera"], { origin: laptop.url });
    const video = page.locator("video");
    // Where the browser tells of its leave, the view stands before the button is pressed.
    await button(page, "Try the camera again")
      .click({ timeout: 3000 })
      .catch(() => undefined);
    await expect(video).toBeVisible();
    await expect(page.getByText(/may not use the camera/)).toHaveCount(0);
  });

  await test.step("a press before the camera is open says so", async () => {
    await page.addInitScript(() => {
      if (!sessionStorage["slow"])
        navigator.mediaDevices.getUserMedia = () => new Promise(() => undefined);
    });
    await page.reload();
    await button(page, "Take the photo").click();
    await expect(page.getByText("The camera is starting. Press again")).toBeVisible();
    await page.evaluate(() => sessionStorage.setItem("slow", "no more"));
  });

  await page.addInitScript(() => {
    navigator.storage.estimate = () => Promise.resolve({ usage: 1000, quota: 1000 });
    const put = Object.getOwnPropertyDescriptor(IDBObjectStore.prototype, "put")!
      .value as IDBObjectStore["put"];
    IDBObjectStore.prototype.put = function (...x) {
      if (this.name === "photos" && !("roomy" in globalThis))
        throw new DOMException("", "QuotaExceededError");
      return put.apply(this, x);
    };
  });
  await page.reload();
  await expect(page.getByText("No room for another photo on this phone")).toBeVisible();
  await page.setViewportSize({ width: 320, height: 640 });
  await page
    .locator("input[type=file]")
    .last()
    .setInputFiles(root + "testdata/photos/dev-08.jpg");
  await expect(page.getByText("This phone has no more room for the app")).toBeVisible();
  await expect(page.getByText("Something is wrong in the app", { exact: false })).toHaveCount(0);
  await expect(button(page, "Save the photo as a file")).toBeInViewport({ ratio: 1 });
  await page.setViewportSize({ width: 844, height: 390 });
  await page.getByLabel("Looking at").click({ trial: true }); // nothing lies over it
  await page.setViewportSize({ width: 390, height: 844 });
  if (process.env["LOOK"]) await page.screenshot({ path: process.env["LOOK"] + "/full.png" });
  const saved = page.waitForEvent("download");
  await button(page, "Save the photo as a file").click();
  expect((await saved).suggestedFilename()).toBe("dev-08.jpg");

  await page.evaluate(() => Object.assign(globalThis, { roomy: true }));
  await button(page, "Try again").click();
  await page.waitForURL("**/photo/*");

  // A photo that nobody saved takes room too, and is named where room is to be made.
  await page.goto(laptop.url + part + "/snap");
  await expect(page.getByText("No room for another photo on this phone")).toBeVisible();
  await expect(page.getByRole("link", { name: "1 photo not saved yet" })).toBeInViewport();
});
