/** A node of a stored TensorFlow graph, the parts that are read here. */
export interface GraphNode {
  readonly name: string;
  readonly op: string;
  readonly input?: readonly string[];
  readonly attr?: Readonly<Record<string, unknown>>;
}

/** A stored graph as its JSON file holds it. */
export interface StoredGraph {
  readonly node: readonly GraphNode[];
}

/** A node's attribute that is text, e.g. its padding; undefined where it has none. */
export function textAttribute(node: GraphNode, name: string): string | undefined {
  const { s } = (node.attr?.[name] ?? {}) as { readonly s?: string };
  return s === undefined ? undefined : atob(s);
}

/** A node's attribute that is a list of texts. */
export function textsAttribute(node: GraphNode, name: string): readonly string[] {
  const { list } = (node.attr?.[name] ?? {}) as { readonly list?: { readonly s?: readonly string[] } };
  return (list?.s ?? []).map((text) => atob(text));
}

/** A node's attribute that is a list of whole numbers. */
export function numbersAttribute(node: GraphNode, name: string): readonly number[] {
  const { list } = (node.attr?.[name] ?? {}) as { readonly list?: { readonly i?: readonly (string | number)[] } };
  return (list?.i ?? []).map(Number);
}

/** A node's attribute that is true or false. */
export function flagAttribute(node: GraphNode, name: string): boolean {
  return ((node.attr?.[name] ?? {}) as { readonly b?: boolean }).b ?? false;
}

/** Walks back from a node over those of the given ops; throws RangeError where the graph has no such node. */
export function nodeBeneath(graph: StoredGraph, name: string, over: readonly string[]): GraphNode {
  const wanted = name.split(':')[0];
  const node = graph.node.find((each) => each.name === wanted);
  if (node === undefined) throw new RangeError(`the graph has no ${name}`);
  const [from] = node.input ?? [];
  return from !== undefined && over.includes(node.op) ? nodeBeneath(graph, from, over) : node;
}
