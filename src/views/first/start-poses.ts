/** One body line of an invented athlete: x along the floor, y up negative, both in hundredths of a leg length. */
export interface StartPose {
  readonly moment: string;
  readonly head: readonly [number, number];
  readonly trunk: string;
  readonly arm: string;
  readonly lead: string;
  readonly other: string;
}

/** Joint centres of the invented athlete of fixtures/clips/sprint-lunge-good, at five times from the set to the hands. */
export const START_POSES: readonly StartPose[] = [
  {
    moment: 'set',
    head: [116.5, -145.7],
    trunk: 'M51.7 -93.2 91.0 -131.8',
    arm: 'M91.0 -131.8 62.9 -143.2 35.1 -150.2',
    lead: 'M51.7 -93.2 38.3 -49.3 0.0 -16.7 10.7 -0.2',
    other: 'M51.7 -93.2 83.1 -56.2 83.7 -5.7 105.5 0.4',
  },
  {
    moment: 'firstMove',
    head: [115.4, -163.5],
    trunk: 'M72.1 -91.5 98.5 -138.8',
    arm: 'M98.5 -138.8 71.1 -126.9 48.6 -110.2',
    lead: 'M72.1 -91.5 57.2 -48.1 12.2 -25.4 11.7 -5.2',
    other: 'M72.1 -91.5 101.5 -52.6 83.6 -5.6 105.5 0.4',
  },
  {
    moment: 'passe',
    head: [140.0, -190.4],
    trunk: 'M125.6 -106.5 139.8 -174.4',
    arm: 'M139.8 -174.4 154.7 -201.2 164.5 -228.6',
    lead: 'M125.6 -106.5 174.7 -105.1 146.7 -64.3 145.3 -43.6',
    other: 'M125.6 -106.5 113.2 -58.2 91.6 -12.7 107.4 1.0',
  },
  {
    moment: 'plant',
    head: [198.9, -167.5],
    trunk: 'M169.1 -88.3 192.6 -153.7',
    arm: 'M192.6 -153.7 207.2 -180.6 218.4 -207.3',
    lead: 'M169.1 -88.3 207.6 -60.6 228.1 -14.7 245.9 -2.5',
    other: 'M169.1 -88.3 143.0 -45.0 97.8 -19.6 86.9 -11.9',
  },
  {
    moment: 'hands',
    head: [323.8, -55.3],
    trunk: 'M250.1 -89.2 310.7 -63.1',
    arm: 'M310.7 -63.1 329.4 -41.5 349.2 -24.5',
    lead: 'M250.1 -89.2 262.0 -41.1 223.7 -8.6 244.8 -1.4',
    other: 'M250.1 -89.2 206.6 -113.3 165.8 -146.1 148.9 -148.3',
  },
];
