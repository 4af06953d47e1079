/** What a key, a foot switch or a MIDI button can do. */
export type HandActionId =
  | 'foot'
  | 'switch'
  | 'next'
  | 'previous'
  | 'better'
  | 'same'
  | 'worse'
  | 'record'
  | 'stop'
  | 'match'
  | 'bypass'
  | 'pedal1'
  | 'pedal2'
  | 'pedal3'
  | 'order'
  | 'listen'
  | 'mute'
  | 'undo'
  | 'up'
  | 'down'
  | 'left'
  | 'right'
  | 'probe'
  | 'keys'
  | 'answer-first'
  | 'answer-second'
  | 'skip';

export interface HandAction {
  readonly label: string;
  readonly does: string;
  /** The standard key, as `keyOf` names it. */
  readonly key?: string;
  /** In a blind test, otherwise, or both: actions that never meet may share a key. */
  readonly when: 'bench' | 'blind' | 'always';
  /** A long press means something of its own. */
  readonly hasLongPress?: true;
  /** A key that is held down goes on. */
  readonly goesOn?: true;
  /** The standard key also moves sliders and pages: it is theirs where they have the focus, and in the view "By ear". */
  readonly yields?: true;
}

/** All actions in the order of the list: the one place that names them. */
export const HAND_ACTIONS: Readonly<Record<HandActionId, HandAction>> = {
  foot: {
    label: 'Foot switch',
    does: 'press: A or B; twice quickly: next candidate; hold: record or stop',
    key: ' ',
    when: 'always',
    hasLongPress: true,
  },
  switch: { label: 'A or B', does: 'switch between A and B, nothing else', when: 'always' },
  next: {
    label: 'Next candidate',
    does: 'in B; without candidates the next value or type of the chosen part',
    key: '.',
    when: 'bench',
  },
  previous: {
    label: 'Previous candidate',
    does: 'in B; without candidates the previous value or type',
    key: ',',
    when: 'bench',
  },
  better: { label: 'Better', does: 'verdict on the candidate', key: '1', when: 'bench' },
  same: { label: 'Same', does: 'verdict on the candidate', key: '2', when: 'bench' },
  worse: { label: 'Worse', does: 'verdict on the candidate', key: '3', when: 'bench' },
  record: {
    label: 'Record',
    does: 'record a riff after the count-in; again: start now, then end',
    key: 'r',
    when: 'bench',
  },
  stop: {
    label: 'Stop',
    does: 'end the recording, or stop the riff and play the guitar',
    key: 's',
    when: 'bench',
  },
  match: { label: 'Match levels', does: 'make A and B equally loud', key: 'l', when: 'bench' },
  bypass: { label: 'Bypass', does: 'effect on or bypassed', key: 'e', when: 'bench' },
  pedal1: { label: 'Pedal 1', does: 'on or off, in the chain that plays', key: '7', when: 'bench' },
  pedal2: { label: 'Pedal 2', does: 'on or off', key: '8', when: 'bench' },
  pedal3: { label: 'Pedal 3', does: 'on or off', key: '9', when: 'bench' },
  order: {
    label: 'Order of pedals',
    does: 'swap the pedal on the sheet with the next one; again: swap back',
    key: 'o',
    when: 'bench',
  },
  listen: { label: 'Listen, Mute', does: 'sound on or off', key: 'm', when: 'always' },
  mute: {
    label: 'Mute, held',
    does: 'hold: mute; press: listen again',
    when: 'always',
    hasLongPress: true,
  },
  undo: { label: 'Undo', does: 'undo the last change; also Ctrl Z', when: 'bench' },
  up: {
    label: 'Value up',
    does: 'next value or type of the chosen part, in the build that plays',
    key: 'ArrowUp',
    when: 'bench',
    goesOn: true,
    yields: true,
  },
  down: {
    label: 'Value down',
    does: 'previous value or type',
    key: 'ArrowDown',
    when: 'bench',
    goesOn: true,
    yields: true,
  },
  right: {
    label: 'Next part',
    does: 'choose the next part',
    key: 'ArrowRight',
    when: 'bench',
    goesOn: true,
    yields: true,
  },
  left: {
    label: 'Previous part',
    does: 'choose the previous part',
    key: 'ArrowLeft',
    when: 'bench',
    goesOn: true,
    yields: true,
  },
  probe: {
    label: 'Probe',
    does: 'next net of the chosen part; Esc: output',
    key: 'p',
    when: 'bench',
    yields: true,
  },
  keys: { label: 'Keys', does: 'this list', key: '?', when: 'bench' },
  'answer-first': { label: 'Answer A or 1', does: '“X is A”, or “1 is better”', key: ',', when: 'blind' },
  'answer-second': { label: 'Answer B or 2', does: '“X is B”, or “2 is better”', key: '.', when: 'blind' },
  skip: { label: 'Next trial', does: 'skip this trial; it is repeated', key: 's', when: 'blind' },
};

export const HAND_ACTION_IDS = Object.keys(HAND_ACTIONS) as readonly HandActionId[];

export function isHandActionId(name: string): name is HandActionId {
  return Object.hasOwn(HAND_ACTIONS, name);
}

/** Whether one press could mean both. */
export function canMeet(a: HandActionId, b: HandActionId): boolean {
  const [first, second] = [HAND_ACTIONS[a].when, HAND_ACTIONS[b].when];
  return first === second || first === 'always' || second === 'always';
}
