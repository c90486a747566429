import axe from 'axe-core';
import { act, type ReactNode } from 'react';
import { createRoot } from 'react-dom/client';

/** A part of the app mounted in the test page. */
export interface Mounted {
  readonly page: HTMLElement;
  /** The one button, link, select, field, slider or summary with this accessible name; throws when there is none or several. */
  control(name: string | RegExp): HTMLElement;
  /** The one labelled section, strip or fieldset with this name. */
  part(name: string | RegExp): HTMLElement;
  click(element: Element): Promise<void>;
  choose(select: HTMLElement, value: string): Promise<void>;
  type(input: HTMLElement, text: string): Promise<void>;
  press(element: Element, key: string): Promise<void>;
  show(node: ReactNode): Promise<void>;
  /** Lets what is under way finish. */
  settle(ms?: number): Promise<void>;
  /** Ids of the accessibility rules that the page breaks; colours are checked in a real browser. */
  violations(): Promise<readonly string[]>;
  unmount(): Promise<void>;
}

/** Mounts a node in a page of its own, inside an element of the given kind; the browser parts that jsdom lacks stand still. */
export async function mount(node: ReactNode, inside: 'main' | 'div' = 'main'): Promise<Mounted> {
  (globalThis as { IS_REACT_ACT_ENVIRONMENT?: boolean }).IS_REACT_ACT_ENVIRONMENT = true;
  globalThis.ResizeObserver = class {
    observe() {}
    unobserve() {}
    disconnect() {}
  };
  Element.prototype.scrollIntoView = () => undefined;
  HTMLMediaElement.prototype.pause = () => undefined;
  HTMLMediaElement.prototype.play = () => Promise.resolve();
  HTMLCanvasElement.prototype.getContext = () => null;
  window.scrollTo = () => undefined;
  document.documentElement.lang = 'en';
  document.title = 'Lungeline';
  document.body.replaceChildren();
  const page = document.createElement(inside);
  document.body.append(page);
  const root = createRoot(page);
  const acted = (work: () => void): Promise<void> => act(() => {
    work();
    return Promise.resolve();
  });
  const show = (next: ReactNode) => acted(() => { root.render(next); });
  await show(node);

  const nameOf = (element: Element, labels: ReadonlyMap<Element, string>): string => element.getAttribute('aria-label') ?? labels.get(element) ?? element.textContent.trim();
  const only = (all: readonly HTMLElement[], name: string | RegExp): HTMLElement => {
    // One pass over the labels: asking every field for its own is slow in jsdom.
    const labels = new Map<Element, string>();
    for (const label of page.querySelectorAll('label')) if (label.control !== null) labels.set(label.control, label.textContent.trim());
    const found = all.filter((element) => {
      const own = nameOf(element, labels);
      return typeof name === 'string' ? own === name : name.test(own);
    });
    const [one] = found;
    if (one === undefined || found.length > 1) throw new Error(`${found.length} are called ${String(name)}`);
    return one;
  };
  const setValue = (element: HTMLElement, value: string) => {
    const prototype = element instanceof HTMLSelectElement ? HTMLSelectElement.prototype : element instanceof HTMLTextAreaElement ? HTMLTextAreaElement.prototype : HTMLInputElement.prototype;
    Object.getOwnPropertyDescriptor(prototype, 'value')?.set?.call(element, value);
  };
  return {
    page,
    show,
    control: (name) => only([...page.querySelectorAll<HTMLElement>('button, a[href], input, select, textarea, summary, [role=slider]')], name),
    part: (name) => only([...page.querySelectorAll<HTMLElement>('section[aria-label], figure[aria-label], fieldset, ul[aria-label], ol[aria-label], svg[aria-label], [role=region]')], name),
    async click(element) {
      await acted(() => { element.dispatchEvent(new MouseEvent('click', { bubbles: true })); });
    },
    async choose(select, value) {
      await acted(() => {
        setValue(select, value);
        select.dispatchEvent(new Event('change', { bubbles: true }));
      });
    },
    async type(input, text) {
      await acted(() => {
        setValue(input, text);
        input.dispatchEvent(new Event('input', { bubbles: true }));
      });
    },
    async press(element, key) {
      await acted(() => { element.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true })); });
    },
    async settle(ms = 0) {
      await act(async () => { await new Promise((resolve) => setTimeout(resolve, ms)); });
    },
    async violations() {
      const { violations } = await axe.run(document.body, { preload: false, rules: { 'color-contrast': { enabled: false }, region: { enabled: false }, 'page-has-heading-one': { enabled: false } } });
      return violations.map((each) => `${each.id}: ${each.nodes.map((one) => one.html.slice(0, 120)).join(' | ')}`);
    },
    async unmount() {
      await acted(() => { root.unmount(); });
    },
  };
}
