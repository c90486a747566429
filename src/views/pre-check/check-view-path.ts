/** Where a view is checked before it is filmed; not a clip's screen, so files dropped there are no clips to measure. */
export const CHECK_VIEW_PATH = '/check-view';
