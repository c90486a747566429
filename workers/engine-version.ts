/** Version of the engine, part of every result: raise it when a change can change a track or a figure. */
export const ENGINE_VERSION = '0.10.0';
