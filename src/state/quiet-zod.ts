import * as z from 'zod';

// zod probes for `new Function`, which the content security policy reports as a violation; this switches the probe off.
// https://github.com/colinhacks/zod/issues/4461
z.config({ jitless: true });
