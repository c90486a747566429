import axe from 'axe-core';
import { act } from 'react';
import { createRoot } from 'react-dom/client';
import { EMPTY_LOG } from '../../src/athletelog/index.ts';
import { createRecords, type Records } from '../../src/state/records.ts';
import type { Session } from '../../src/state/session.ts';
import { App } from '../../src/views/app.tsx';
import { fetchScreens } from '../../src/views/screens.tsx';

/** The app on a session, mounted in the test page. */
export interface Shown {
  readonly page: HTMLElement;
  /** The one button, select or field with this accessible name; throws when there is none or several. */
  control(name: string | RegExp): HTMLElement;
  press(key: string, init?: KeyboardEventInit): Promise<void>;
  click(element: Element): Promise<void>;
  choose(select: HTMLElement, value: string): Promise<void>;
  type(input: HTMLElement, text: string): Promise<void>;
  /** Does something to the session and waits until the page shows it. */
  after(work?: () => void): Promise<void>;
  /** Ids of the accessibility rules that the page breaks; colours are checked in a real browser. */
  violations(): Promise<readonly string[]>;
  unmount(): Promise<void>;
}

/** Does something that changes the page, and waits until React has drawn it. */
function acted(work: () => void): Promise<void> {
  return act(() => {
    work();
    return Promise.resolve();
  });
}

/** Mounts the app; the browser parts that jsdom lacks stand still. */
export async function show(session: Session, records: Records = createRecords({ storage: null, now: () => new Date(), newId: () => crypto.randomUUID(), askToPersist: () => Promise.resolve('cannot-say'), inventedClub: () => Promise.resolve({ log: EMPTY_LOG, analyses: new Map() }) })): Promise<Shown> {
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
  document.documentElement.lang = 'en';
  window.location.hash = '';
  window.scrollTo = () => undefined;
  document.body.replaceChildren();
  const page = document.createElement('div');
  document.body.append(page);
  await fetchScreens();
  const root = createRoot(page);
  await acted(() => { root.render(<App session={session} records={records} />); });

  const nameOf = (element: Element): string => {
    const label = element.getAttribute('aria-label');
    if (label !== null) return label;
    const labelled = element instanceof HTMLInputElement || element instanceof HTMLSelectElement || element instanceof HTMLTextAreaElement ? [...(element.labels ?? [])].map((each) => each.textContent).join(' ') : '';
    return (labelled || element.textContent || '').trim();
  };
  const setValue = (element: HTMLElement, value: string) => {
    const prototype = element instanceof HTMLSelectElement ? HTMLSelectElement.prototype : element instanceof HTMLTextAreaElement ? HTMLTextAreaElement.prototype : HTMLInputElement.prototype;
    Object.getOwnPropertyDescriptor(prototype, 'value')?.set?.call(element, value);
  };
  return {
    page,
    control(name) {
      const all = [...page.querySelectorAll<HTMLElement>('button, input, select, textarea, a[href], summary, [role=slider]')].filter((element) => {
        const own = nameOf(element);
        return typeof name === 'string' ? own === name : name.test(own);
      });
      const [only] = all;
      if (only === undefined || all.length > 1) throw new Error(`${all.length} controls are called ${String(name)}`);
      return only;
    },
    async press(key, init = {}) {
      await acted(() => { (document.activeElement ?? document.body).dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true, ...init })); });
    },
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
      await acted(() => { input.dispatchEvent(new FocusEvent('focusout', { bubbles: true })); });
    },
    async after(work) {
      await act(async () => {
        work?.();
        await new Promise((resolve) => setTimeout(resolve, 0));
      });
    },
    async violations() {
      const { violations } = await axe.run(page, { preload: false, rules: { 'color-contrast': { enabled: false } } });
      return violations.map((each) => `${each.id}: ${each.nodes.map((node) => node.html.slice(0, 120)).join(' | ')}`);
    },
    async unmount() {
      await acted(() => { root.unmount(); });
    },
  };
}
