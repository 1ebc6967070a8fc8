// A workshop that tests share: a laptop and a phone that has joined it, one of each for each of
// Playwright's workers. A phone of its own takes a test 5 s of a processor before its first step,
// most of it for compiling the app. A test that needs no new phone begins a project of its own, gives
// its parts names of their own (the work list shows those of all projects), and leaves no photo unsaved.
import { test as base, type Page } from "@playwright/test";
import { Laptop } from "./laptop";
import config, { phone as kind } from "./playwright.config";
import { pairs } from "./workshop";

export interface Shop {
  laptop: Laptop;
  /** The app on the phone, anywhere in it. */
  phone: Page;
}

export const test = base.extend<object, { shop: Shop }>({
  shop: [
    async ({ browser }, use) => {
      const laptop = await Laptop.start();
      const context = await browser.newContext(kind);
      context.setDefaultTimeout(config.use!.actionTimeout!);
      context.setDefaultNavigationTimeout(config.use!.navigationTimeout!);
      const phone = await context.newPage();
      await pairs(phone, laptop, laptop.link.split("#")[1]!, "Bench phone");
      await use({ laptop, phone });
      await context.close();
      await laptop.end();
    },
    { scope: "worker", timeout: 120_000 },
  ],
});
