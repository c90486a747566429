// @vitest-environment jsdom
import { useState } from 'react';
import { afterEach, describe, expect, it } from 'vitest';
import type { AthleteLog } from '../../src/athletelog/index.ts';
import type { Assignment } from '../../src/export/index.ts';
import { copyProfile, DEFAULT_PROFILE, layerProfiles, newOverride, readToleranceFile, setBand, toleranceOf, writeToleranceFile, type Profile } from '../../src/tolerances/index.ts';
import { asOpened, newestOfEach, startDraft, withNextRevision } from '../../src/views/tolerances/drafts.ts';
import { findingsOf, preview } from '../../src/views/tolerances/preview.ts';
import { TolerancesView } from '../../src/views/tolerances/tolerances-view.tsx';
import { mount, type Mounted } from '../support/mount.tsx';
import { seasonLog } from '../support/season-log.ts';

const log = seasonLog();
const mine = copyProfile(DEFAULT_PROFILE, 'mine', 'Mine');

describe('what an edit would change', () => {
  it('nothing when nothing is edited', () => {
    expect(preview(log, 'two-step-run', DEFAULT_PROFILE, DEFAULT_PROFILE, null)).toMatchObject({ reps: 48, changed: [] });
  });

  it('a band that no knee can reach turns every passé knee of the 48 reps, and only those', () => {
    const edited = setBand(mine, 'two-step-run', 'passe.knee', [0, 1], 1);
    const { changed } = preview(log, 'two-step-run', DEFAULT_PROFILE, edited, null);
    expect(changed).toHaveLength(48);
    expect(new Set(changed.map((each) => each.measure))).toEqual(new Set(['passe.knee']));
    expect(new Set(changed.map((each) => each.after?.verdict))).toEqual(new Set(['out']));
    // Newest first.
    expect(changed[0]?.rep.id).toBe('mika-8-9');
  });

  it('a measure that is not judged any more has no verdict after, and counts as changed', () => {
    const { changed } = preview(log, 'two-step-run', DEFAULT_PROFILE, setBand(mine, 'two-step-run', 'passe.knee', null), null);
    expect(changed).toHaveLength(48);
    expect(changed.every((each) => each.after === null && each.before !== null)).toBe(true);
  });

  it('only the athletes for whom it holds are looked at', () => {
    const edited = setBand(mine, 'power-hurdle', 'passe.knee', [0, 1], 1);
    expect(preview(log, 'power-hurdle', DEFAULT_PROFILE, edited, ['mika'])).toMatchObject({ reps: 0, changed: [] });
    expect(preview(log, 'power-hurdle', DEFAULT_PROFILE, edited, ['runa']).reps).toBe(8);
  });

  it('a rep in metres a second is not held against a band in leg lengths a second', () => {
    const judged = setBand(mine, 'two-step-run', 'launch.hipSpeed', [4, 5], 0.2);
    const rep = log.reps[0]!;
    const speed = rep.measures['launch.hipSpeed'];
    const inMetres = { ...rep, measures: { ...rep.measures, ...(speed?.measured === true ? { 'launch.hipSpeed': { ...speed, unit: 'm/s' as const } } : {}) } };
    expect(findingsOf(inMetres, judged).find((finding) => finding.measure === 'launch.hipSpeed')?.verdict).toBe('not-measured');
  });
});

describe('drafts and versions', () => {
  const ids = () => 'new-id';
  it('the built-in profile is copied, never edited; every other edits itself', () => {
    expect(startDraft(DEFAULT_PROFILE, ids)).toMatchObject({ id: 'new-id', basedOn: { id: DEFAULT_PROFILE.id } });
    expect(startDraft(mine, ids)).toBe(mine);
  });
  it('a saved draft is one version above the newest, however many edits it took', () => {
    const edited = setBand(setBand(setBand(mine, 'two-step-run', 'passe.knee', [40, 60]), 'two-step-run', 'passe.knee', [40, 61]), 'two-step-run', 'passe.knee', [40, 62]);
    expect(withNextRevision(edited, [mine]).revision).toBe(2);
    expect(withNextRevision(edited, []).revision).toBe(1);
    expect(newestOfEach([mine, { ...mine, revision: 3 }, { ...mine, revision: 2 }]).map((profile) => profile.revision)).toEqual([3]);
  });
  it('an opened file never takes the place of a stored version or of the built-in profile', () => {
    expect(asOpened(mine, [mine], ids)).toMatchObject({ id: 'mine', revision: 2 });
    expect(asOpened(DEFAULT_PROFILE, [], ids).id).toBe('new-id');
  });
});

describe('the editor', () => {
  let shown: Mounted;
  afterEach(async () => { await shown.unmount(); });
  const saved: Profile[] = [];
  const files: [string, string][] = [];
  let used: string | null = null;
  function Editor({ first = [mine], assigned = [], of = log }: { readonly first?: readonly Profile[]; readonly assigned?: readonly Assignment[]; readonly of?: AthleteLog }) {
    const [profiles, setProfiles] = useState(first);
    const [inUse, setInUse] = useState<string | null>(first[0]?.id ?? null);
    const [assignments, setAssignments] = useState(assigned);
    return (
      <TolerancesView
        log={of} profiles={profiles} profileInUse={inUse} assignments={assignments} newId={() => `id-${saved.length}`}
        onSave={(profile) => { saved.push(profile); setProfiles([...profiles, profile]); }} onUse={(id) => { used = id; setInUse(id); }}
        onAssign={setAssignments} onFile={(name, text) => { files.push([name, text]); }}
      />
    );
  }
  const knee = () => shown.part('Passé knee');
  const openKnee = () => shown.click(shown.control('Change Passé knee'));
  const field = (label: string) => [...knee().querySelectorAll('label')].find((each) => each.textContent === label)!.control as HTMLInputElement;

  it('says how many verdicts would change while the band is typed, then saves it as version 2', async () => {
    shown = await mount(<Editor />);
    await shown.choose(shown.control('Start'), 'two-step-run');
    await openKnee();
    await shown.type(field('to'), '46');
    const wanted = setBand(mine, 'two-step-run', 'passe.knee', [45, 46]);
    const seen = preview(log, 'two-step-run', mine, wanted, null);
    expect(seen.changed.length).toBeGreaterThan(0);
    expect(shown.part('What would change').textContent).toContain(`${seen.changed.length} of ${seen.verdicts} verdicts would change`);
    expect(knee().textContent).toContain(`${seen.changed.length} would change`);
    expect(shown.part('Reps that would change').textContent).toContain('Defaults, version 1');
    expect(await shown.violations()).toEqual([]);
    await shown.click(shown.control('Save as version 2'));
    expect(saved.at(-1)).toMatchObject({ id: 'mine', revision: 2 });
    expect(toleranceOf(saved.at(-1)!, 'two-step-run', 'passe.knee')).toMatchObject({ band: [45, 46], basis: { tag: 'coach' } });
    expect(shown.part('What would change').textContent).toContain('“Mine”, version 2');
  });

  it('refuses a band that is upside down or beyond 180°, in words, and keeps the old one', async () => {
    shown = await mount(<Editor />);
    await shown.choose(shown.control('Start'), 'two-step-run');
    await openKnee();
    await shown.type(field('to'), '190');
    expect(knee().querySelector('[role=alert]')?.textContent).toContain('between 0° and 180°');
    await shown.type(field('to'), '10');
    expect(knee().querySelector('[role=alert]')?.textContent).toContain('lower end');
    expect(shown.page.textContent).not.toContain('Save as version');
  });

  it('the arrow keys move an end by one degree', async () => {
    shown = await mount(<Editor />);
    await shown.choose(shown.control('Start'), 'two-step-run');
    await openKnee();
    await shown.press(field('From'), 'ArrowUp');
    expect(field('From').value).toBe('46');
  });

  it('editing the defaults makes a profile of the coach’s own and uses it', async () => {
    shown = await mount(<Editor first={[]} />);
    await shown.choose(shown.control('Start'), 'two-step-run');
    await openKnee();
    const to = field('to');
    await shown.type(to, '7');
    await shown.type(to, '70');
    // The first edit makes the copy; the field under the finger stays the same one.
    expect(field('to')).toBe(to);
    await shown.click(shown.control('Save as version 1'));
    expect(toleranceOf(saved.at(-1)!, 'two-step-run', 'passe.knee')?.band).toEqual([45, 70]);
    expect(saved.at(-1)).toMatchObject({ name: 'My tolerances', revision: 1, basedOn: { id: DEFAULT_PROFILE.id } });
    expect(used).toBe(saved.at(-1)?.id);
  });

  it('an override shows only the reps of those it holds for, on top of the profile in use', async () => {
    const override = setBand(newOverride(mine, 'small', 'Small ones'), 'power-hurdle', 'passe.knee', [50, 60]);
    shown = await mount(<Editor first={[mine, override]} assigned={[{ profileId: 'small', athleteIds: ['runa'], groups: [] }]} />);
    await shown.choose(shown.control('Profile'), 'small');
    await shown.choose(shown.control('Start'), 'power-hurdle');
    expect(shown.part('What would change').textContent).toContain('for Runa (invented)');
    expect(knee().textContent).toContain('own');
    expect(shown.part(/^Bands/).textContent).toContain('8 stored reps');
    await shown.click(shown.control('Runa (invented)'));
    await shown.click(shown.control('Juniors (group)'));
    expect(shown.part('What would change').textContent).toContain('for Juniors');
    expect(shown.part(/^Bands/).textContent).toContain('No stored rep');
    await openKnee();
    await shown.type(field('to'), '90');
    const base = layerProfiles(mine, saved.at(-1) ?? mine);
    expect(toleranceOf(base, 'power-hurdle', 'launch.trunkLean')).not.toBeNull();
  });

  it('writes a file that reads back as the same profile, and opens one as a new version', async () => {
    shown = await mount(<Editor />);
    await shown.click(shown.control('Write “Mine” to a file'));
    const [name, text] = files.at(-1)!;
    expect(name).toBe('tolerances-mine-v1.json');
    expect(readToleranceFile(text, name)).toEqual({ ok: true, value: mine });
    const input = shown.control('Open a tolerance file') as HTMLInputElement;
    const open = async (content: string) => {
      Object.defineProperty(input, 'files', { configurable: true, value: [new File([content], 'other.json')] });
      Object.defineProperty(input, 'value', { configurable: true, writable: true, value: '' });
      input.dispatchEvent(new Event('change', { bubbles: true }));
      await shown.settle(20);
    };
    await open(writeToleranceFile(setBand(mine, 'two-step-run', 'passe.knee', [50, 60])));
    expect(saved.at(-1)).toMatchObject({ id: 'mine', revision: 2 });
    const before = saved.length;
    await open('{ "format": "something-else" }');
    expect(saved).toHaveLength(before);
    expect(shown.page.querySelector('[role=alert]')?.textContent).toContain('Nothing was changed');
  });

  it('versions say what changed and start again from an old one', async () => {
    const second = { ...setBand(mine, 'two-step-run', 'passe.knee', [40, 50]), revision: 2 };
    shown = await mount(<Editor first={[mine, second]} />);
    expect(shown.page.textContent).toContain('passé knee (two-step run)');
    await shown.click(shown.control('Start again from version 1'));
    await shown.click(shown.control('Save as version 3'));
    expect(toleranceOf(saved.at(-1)!, 'two-step-run', 'passe.knee')?.band).toEqual(toleranceOf(mine, 'two-step-run', 'passe.knee')?.band);
  });

  it('without a stored rep bands can be set all the same', async () => {
    shown = await mount(<Editor of={{ athletes: [], sessions: [], reps: [] }} />);
    expect(shown.page.textContent).toContain('bands can be set');
    expect(await shown.violations()).toEqual([]);
  });
});
