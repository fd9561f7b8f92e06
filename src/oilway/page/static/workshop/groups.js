// What stands in a file, in the order one describes it in, and a word on each.

const MACHINE = [
  {
    title: "Lines and tank",
    kinds: ["tank", "chamber", "line", "hose", "filter", "cooler"],
    about:
      "Begin with the tank, and a chamber for every line that has a pressure of its own. A hose or pipe whose drop " +
      "counts goes between two of them.",
  },
  {
    title: "Pumps",
    kinds: ["fixed pump", "pressure-compensated pump", "load-sensing pump"],
    about: "It draws from the tank and delivers into a line.",
  },
  {
    title: "Valves",
    kinds: ["valve", "check valve", "shuttle", "flow control", "orifice"],
    about:
      "A valve is one of the valves that come with Oilway, or a valve file of your own beside this one. Say which " +
      "chamber each port is screwed to.",
  },
  {
    title: "Actuators and loads",
    kinds: ["cylinder", "load", "linkage", "motor", "accumulator"],
    about: "A cylinder or a motor, then the load it carries.",
  },
  {
    title: "Instruments",
    kinds: ["gauge", "flow meter"],
    about: "A gauge is screwed into a chamber and takes no oil. A flow meter sits between two.",
  },
  { title: "Other", kinds: [], about: "What has no place in the groups above." },
];

const VALVE = [
  {
    title: "Chambers",
    kinds: ["chamber"],
    about:
      "Every space with one pressure is a chamber: before the seat, behind it, round the spring. Its volume decides " +
      "how fast, not how much, so an estimate will do.",
  },
  {
    title: "Moving parts",
    kinds: ["moving part", "lever"],
    about:
      "The poppet, plunger or spool that opens. Weigh it with a third of its spring, and measure how far it can lift.",
  },
  {
    title: "Faces",
    kinds: ["face"],
    about:
      "Wherever oil presses on the part there is a face: in which chamber, of which diameter, and does it push open " +
      "or shut? Those that push open and those that push shut must cover the same circle.",
  },
  {
    title: "Springs",
    kinds: ["spring"],
    about:
      "Its rate, and how far it is compressed when assembled. With an adjuster: how far one turn moves its end.",
  },
  {
    title: "Seats and edges",
    kinds: ["poppet seat", "spool edge"],
    about:
      "What opens as the part lifts: a cone on its seat, or the edge of a spool. From the chamber that the oil comes " +
      "from, to the one it goes to.",
  },
  {
    title: "Passages",
    kinds: ["orifice", "annular gap", "check valve", "shuttle", "line"],
    about:
      "Drilled holes and close fits between two chambers, also those that no cutaway shows. A chamber that nothing " +
      "leads to is told as a mistake.",
  },
  {
    title: "Ports",
    ports: true,
    kinds: [],
    about:
      "Where lines are screwed in, and the chamber behind each. P is the inlet and T the outlet of a relief valve.",
  },
  { title: "Other", kinds: [], about: "What has no place in the groups above." },
];

const VALVE_HEAD = {
  title: "Adjuster and setting",
  path: ["valve"],
  head: "valve",
  about:
    "Which spring the adjuster presses together, and the setting: a pressure at a flow, which the turns are solved for.",
};

/** The groups of a file, each with the names of the parts in it; a group nobody needs is left out. */
export function groupsOf(tree, isValve) {
  const all = isValve ? VALVE : MACHINE;
  const placed = new Set(all.flatMap(({ kinds }) => kinds));
  const parts = Object.entries(tree.parts ?? {}).filter(([, part]) => typeof part === "object");
  const found = all
    .map((group, number) => {
      const last = number === all.length - 1;
      const names = group.ports
        ? Object.keys(tree.ports ?? {})
        : parts
            .filter(([, { kind }]) => (last ? !placed.has(kind) : group.kinds.includes(kind)))
            .map(([name]) => name);
      return { ...group, names, last };
    })
    .filter(({ last, names }) => !last || names.length);
  return isValve ? found.toSpliced(7, 0, { ...VALVE_HEAD, names: [] }) : found;
}

/** What stands beside the parts: {title, path}, with the form that it has, or as text alone. */
export function headsOf(tree, isValve) {
  if (isValve) {
    const said = ["options", "states", "stand"].filter((key) => key in tree || key !== "stand");
    return said.map((key) => ({ title: key, path: [key] }));
  }
  return [
    { title: "Name", path: ["machine"], head: "machine" },
    { title: "Oil", path: ["oil"], head: "oil" },
    { title: "Operating point", path: ["operating point"], head: "point" },
  ];
}

/** Names of the chambers that a port may be at; those of the choices of a valve too. */
export function chambers(tree) {
  const choices = Object.values(tree.options ?? {}).flatMap(({ choices: all }) => Object.values(all ?? {}));
  const blocks = [tree, ...choices].map(({ parts }) => parts ?? {});
  return blocks.flatMap((parts) => named(parts, ["chamber", "tank"]));
}

/** Names of the parts of some kinds. */
export function named(parts, kinds) {
  return Object.entries(parts ?? {})
    .filter(([, part]) => kinds.includes(part.kind))
    .map(([name]) => name);
}
