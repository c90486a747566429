// @vitest-environment jsdom
import { act } from 'react';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { NumberField, TextField } from '../../src/views/parts/text-fields.tsx';
import { mount } from '../support/mount.tsx';

describe('what is typed is kept by itself', () => {
  beforeEach(() => { vi.useFakeTimers(); });
  afterEach(() => { vi.useRealTimers(); });

  const field = (text: string, onCommit: (text: string) => void, isOnlyWhenLeft = false) => (
    <TextField label="Note" text={text} maxLength={100} isOnlyWhenLeft={isOnlyWhenLeft} onCommit={onCommit} />
  );
  const rest = (ms: number) => act(() => { vi.advanceTimersByTime(ms); });

  test('a note is handed on once typing has rested, not at every key; spaces at its ends are no text', async () => {
    const commit = vi.fn();
    const at = await mount(field('', commit));
    await at.type(at.control('Note'), 'long');
    rest(300);
    await at.type(at.control('Note'), 'long hurdle ');
    rest(300);
    expect(commit).not.toHaveBeenCalled();
    rest(1000);
    expect(commit.mock.calls).toEqual([['long hurdle']]);
  });

  test('going to another screen or putting the phone away in the middle of a word keeps the word', async () => {
    const commit = vi.fn();
    const at = await mount(field('', commit));
    await at.type(at.control('Note'), 'arms');
    Object.defineProperty(document, 'visibilityState', { configurable: true, value: 'hidden' });
    document.dispatchEvent(new Event('visibilitychange'));
    expect(commit.mock.calls).toEqual([['arms']]);
    await at.type(at.control('Note'), 'arms late');
    await at.unmount();
    expect(commit.mock.calls).toEqual([['arms'], ['arms late']]);
    Reflect.deleteProperty(document, 'visibilityState');
  });

  test('a change from elsewhere shows in a field that nobody is typing in, and never takes away what is being typed', async () => {
    const commit = vi.fn();
    const at = await mount(field('old', commit));
    const input = at.control('Note') as HTMLInputElement;
    await at.show(field('from another tab', commit));
    expect(input.value).toBe('from another tab');
    act(() => { input.focus(); });
    await at.type(input, 'mine');
    await at.show(field('late answer', commit));
    expect(input.value).toBe('mine');
    act(() => { input.blur(); });
    expect(commit.mock.calls).toEqual([['mine']]);
    await at.show(field('mine', commit));
    expect(input.value).toBe('mine');
  });

  test('a field that adds something waits until it is left', async () => {
    const commit = vi.fn();
    const at = await mount(field('', commit, true));
    act(() => { at.control('Note').focus(); });
    await at.type(at.control('Note'), 'Tues');
    rest(5000);
    expect(commit).not.toHaveBeenCalled();
    await at.type(at.control('Note'), 'Tuesday');
    act(() => { at.control('Note').blur(); });
    expect(commit.mock.calls).toEqual([['Tuesday']]);
  });
});

test('a number is handed on as soon as it fits, so that the button beside it can be tapped at once; what does not fit is said when the field is left', async () => {
  const commit = vi.fn();
  const at = await mount(<NumberField label="Height, cm" value={null} from={80} to={220} onCommit={commit} />);
  act(() => { at.control('Height, cm').focus(); });
  await at.type(at.control('Height, cm'), '14');
  expect(commit).not.toHaveBeenCalled();
  await at.type(at.control('Height, cm'), '141,5');
  expect(commit.mock.calls).toEqual([[141.5]]);
  await at.type(at.control('Height, cm'), '1415');
  expect(at.page.textContent).not.toContain('A number from 80 to 220.');
  act(() => { at.control('Height, cm').blur(); });
  expect(at.page.textContent).toContain('A number from 80 to 220.');
  expect(commit).toHaveBeenCalledTimes(1);
});
