import { Project, Workspace } from 'epanet-js';

const NODE_HEAD = 10;
const LINK_FLOW = 8;

export interface EpanetCase {
  inp: string;
  links: string[];
  nodes: string[];
  /** Looked at after each hydraulic step; false ends the run. */
  seen(at: { timeS: number; flowLps: number[]; headM: number[] }): boolean;
}

/** Runs a network, step by step, in the EPANET 2.2 engine. */
export async function runEpanet(of: EpanetCase): Promise<void> {
  const workspace = new Workspace();
  await workspace.loadModule();
  const project = new Project(workspace);
  workspace.writeFile('net.inp', of.inp);
  project.open('net.inp', 'net.rpt', 'net.bin');
  const links = of.links.map((id) => project.getLinkIndex(id));
  const nodes = of.nodes.map((id) => project.getNodeIndex(id));
  project.openH();
  project.initH(0);
  let more = true;
  while (more) {
    const timeS = project.runH();
    const flowLps = links.map((i) => project.getLinkValue(i, LINK_FLOW));
    const headM = nodes.map((i) => project.getNodeValue(i, NODE_HEAD));
    more = of.seen({ timeS, flowLps, headM }) && project.nextH() > 0;
  }
  project.closeH();
  project.close();
}
