import { nodeBeneath, type StoredGraph } from './stored-graph.ts';

/** Nodes of the graph, each before its sigmoid. */
export interface PoseOutputs {
  readonly picture: string;
  readonly landmarks: string;
  readonly flag: string;
  readonly heat: string;
}

/** The nodes that hold what is read of the model. Throws RangeError where the graph is not that of a landmark model. */
export function poseOutputs(graph: StoredGraph): PoseOutputs {
  const picture = graph.node.find(({ op }) => op === 'Placeholder');
  if (picture === undefined) throw new RangeError('the graph reads no picture');
  // Each output's name with its sigmoid, as the model's makers call it.
  const beneath = (ending: string): string => {
    const node = graph.node.find(({ name }) => name.endsWith(ending));
    if (node === undefined) throw new RangeError(`the graph makes no ${ending}`);
    return nodeBeneath(graph, node.name, ['Identity', 'Reshape', 'Sigmoid']).name;
  };
  return { picture: picture.name, landmarks: beneath('/ld_3d/Reshape'), flag: beneath('/output_poseflag/Reshape'), heat: beneath('/activation_heatmap/Sigmoid') };
}
