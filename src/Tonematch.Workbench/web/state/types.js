// What the server sends, by its own names. A test compares these lists with the server's records.
// @ts-check

/** @typedef {{ id: string, name: string, problem: string, facts: string[], doubts: string[], isStill: boolean, duration: number, rate: number, width: number, height: number, hasSound: boolean, isHdr: boolean, isWideGamut: boolean, mayPlay: boolean, type: string, size: number, modified: number, hasPreview: boolean }} ClipMessage */
/** @typedef {{ name: string, primary: number[][], secondary: number[][], at: number|null }} RegionMessage */
/** @typedef {{ clip: string, offsetSeconds: number|null, driftPpm: number, method: string|null, chart: string|null, at: string[], primaryChart: number[][]|null, secondaryChart: number[][]|null, leftOut: string[], weights: Record<string, number>, regions: RegionMessage[], model: string|null, trim: Record<string, number> }} SessionMatchMessage */
/** @typedef {{ primary: string|null, secondaries: SessionMatchMessage[], lutSize: number }} SessionMessage */
/** @typedef {{ offset: number, drift: number, confidence: number, words: string, byHand: boolean, from: number, to: number, moment: number|null, begins: string }} SyncMessage */
/** @typedef {{ name: string, title: string, train: number, heldOut: number|null, unseenPlaces: number|null, why: string }} KindMessage */
/** @typedef {{ t: number, mean: number, p95: number, grade: string, stops: number }} InstantMessage */
/** @typedef {{ clip: string, status: string, sync: SyncMessage|null, source: string, method: string, pairs: number, before: number, after: number, afterWithoutTrim: number, heldOut: number|null, verdict: string, headline: string, figure: number, figureOn: string, reasons: string[], chosen: string, advised: string, kinds: KindMessage[], warnings: string[], difference: string, lutVersion: number, fitMilliseconds: number, overTime: InstantMessage[], overTimeIsCurrent: boolean, moments: number[], problem: string }} MatchMessage */
/** @typedef {{ id: string, group: string, label: string, isOut: boolean, isMarked: boolean, t: number, a: number[]|null, b: number[]|null, before: number, after: number, weight: number, colourA: string, colourB: string, colourMatched: string, ab: number[] }} PairMessage */
/** @typedef {{ id: number, kind: string, subject: string, stage: string, share: number, status: string, message: string }} JobState */
/** @typedef {{ server: any, session: SessionMessage, matches: Record<string, MatchMessage>, jobs: Record<number, JobState> }} State */

export {};
