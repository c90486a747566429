/** A database written down: its browser version, and for each table its key, its indexes and its rows. Typed arrays are { "$typed", "values" }, NaN is null. */
export interface FrozenDatabase {
  readonly browserVersion: number;
  readonly tables: Readonly<Record<string, {
    readonly keyPath: string | readonly string[];
    readonly indexes: readonly { readonly name: string; readonly keyPath: string | readonly string[]; readonly isUnique: boolean; readonly isMany?: boolean }[];
    readonly rows: readonly unknown[];
  }>>;
}

const TYPED = { Float32Array, Float64Array, Uint8Array } as const;

function thaw(_key: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || !('$typed' in value) || !('values' in value)) return value;
  const numbers = (value.values as (number | null)[]).map((each) => each ?? Number.NaN);
  if (value.$typed === 'ArrayBuffer') return Uint8Array.from(numbers).buffer;
  return TYPED[value.$typed as keyof typeof TYPED].from(numbers);
}

/** Writes a frozen database into a browser's factory with the browser's own calls, as the version of its day did. */
export async function openFrozen(factory: IDBFactory, frozen: FrozenDatabase, name = 'lungeline'): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    const opening = factory.open(name, frozen.browserVersion);
    opening.onerror = () => { reject(opening.error ?? new Error('no database')); };
    opening.onupgradeneeded = () => {
      for (const [tableName, table] of Object.entries(frozen.tables)) {
        const store = opening.result.createObjectStore(tableName, { keyPath: table.keyPath as string | string[] });
        for (const index of table.indexes) store.createIndex(index.name, index.keyPath as string | string[], { unique: index.isUnique, multiEntry: index.isMany ?? false });
        for (const row of table.rows) store.put(JSON.parse(JSON.stringify(row), thaw));
      }
    };
    opening.onsuccess = () => {
      opening.result.close();
      resolve();
    };
  });
}

/** A row as it is written down. */
export function freeze(row: unknown): unknown {
  return JSON.parse(JSON.stringify(row, function (this: Record<string, unknown>, key: string) {
    const value = this[key];
    if (value instanceof ArrayBuffer) return { $typed: 'ArrayBuffer', values: [...new Uint8Array(value)] };
    for (const name of Object.keys(TYPED) as (keyof typeof TYPED)[]) {
      if (value instanceof TYPED[name]) return { $typed: name, values: [...value] };
    }
    return value;
  }));
}
