// SPDX-License-Identifier: Apache-2.0
/** What the vendored plain scripts put on the page, as far as we use it. */
interface Window {
  htmx: {
    ajax(
      method: "GET" | "POST",
      address: string,
      options: { source?: string; target: string; swap?: string },
    ): Promise<void>;
    process(element: Element): void;
    trigger(element: Element | string, event: string): boolean;
  };
}
