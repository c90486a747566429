import { z } from 'zod';

// zod probes for `new Function`, which the content security policy reports as a violation; this switches the probe off.
// Schemas take zod from here: scripts that they share with others run before any page's own.
// https://github.com/colinhacks/zod/issues/4461
z.config({ jitless: true });

export { z };
