// Reads a list of drawings, each a list of lines [x0, y0, x1, y1], and writes for each the areas of the
// faces that the lines enclose, as the JTS Topology Suite finds them; null where it cannot part lines that
// nearly lie on each other.
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js'
import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js'
import Polygonizer from 'jsts/org/locationtech/jts/operation/polygonize/Polygonizer.js'
import UnaryUnionOp from 'jsts/org/locationtech/jts/operation/union/UnaryUnionOp.js'
import { readFileSync } from 'node:fs'

const factory = new GeometryFactory()
const drawings = JSON.parse(readFileSync(0, 'utf8'))
const answers = drawings.map(lines => {
  const strings = lines.map(([a, b, c, d]) => factory.createLineString([new Coordinate(a, b), new Coordinate(c, d)]))
  let noded
  try {
    noded = UnaryUnionOp.union(factory.createMultiLineString(strings))
  } catch {
    return null
  }
  const polygonizer = new Polygonizer()
  polygonizer.add(noded)
  const areas = []
  for (const it = polygonizer.getPolygons().iterator(); it.hasNext();) areas.push(it.next().getArea())
  return areas.sort((a, b) => a - b)
})
process.stdout.write(JSON.stringify(answers))
