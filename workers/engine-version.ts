/** Version of the engine, part of every result: raise it when a change can change a track. */
export const ENGINE_VERSION = '0.8.0';
