// An index of segments' boxes by flatbush.
// usage: node build.js FLATBUSH SEGMENTS MINX MINY MAXX MAXY
// prints: seconds to build, boxes that meet the given box
const {readFileSync} = require('fs');
const {pathToFileURL} = require('url');
const [, , module_, file, ...box] = process.argv;
import(pathToFileURL(module_)).then(({default: Flatbush}) => {
  const bytes = readFileSync(file);
  const s = new Float64Array(bytes.buffer, bytes.byteOffset, bytes.length / 8);
  const build = () => {
    const tree = new Flatbush(s.length / 4);
    for (let i = 0; i < s.length; i += 4)
      tree.add(Math.min(s[i], s[i + 2]), Math.min(s[i + 1], s[i + 3]), Math.max(s[i], s[i + 2]), Math.max(s[i + 1], s[i + 3]));
    tree.finish();
    return tree;
  };
  build(); // let the compiler warm up
  const from = process.hrtime.bigint();
  const tree = build();
  const took = Number(process.hrtime.bigint() - from) / 1e9;
  console.log(took.toFixed(9), tree.search(...box.map(Number)).length);
});
