/** What the file picker offers first; anything else can still be dropped, and then says plainly whether it can be read. */
export const CLIP_TYPES = 'video/*,.mp4,.mov,.webm,.m4v';
