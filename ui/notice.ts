/** What a button of a notice says and does. */
export interface Way {
  readonly title: string;
  readonly act: () => void;
}

/** Something to be told in one line above the bench. */
export interface Notice {
  readonly text: string;
  /** A problem stands before what is only good to know. */
  readonly kind: 'problem' | 'note';
  /** Whether a screen reader says it at once, or once it is free. */
  readonly isUrgent?: boolean;
  readonly ways?: readonly Way[];
}

export function dismissal(act: () => void): Way {
  return { title: 'Dismiss', act };
}

/** Problems first, each kind in the order given; of two with one text the first. */
export function inOrder(notices: readonly Notice[]): readonly Notice[] {
  const different = notices.filter(
    ({ text }, index) => notices.findIndex((each) => each.text === text) === index,
  );
  const of = (wanted: Notice['kind']) => different.filter(({ kind }) => kind === wanted);
  return [...of('problem'), ...of('note')];
}
