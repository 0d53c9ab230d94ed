package trace

import "toile/geom"

// held is where a block is shown within another.
type held struct {
	block *dxfBlock
	in    *dxfInsert
}

// holders gives for each block shown within another the first place in the first
// that holds it.
func (x *dxfTracing) holders() map[string]held {
	by := map[string]held{}
	for _, b := range x.order {
		for i := range b.entities {
			if in := b.entities[i].insert; in != nil && by[dxfKey(in.block)].block == nil {
				by[dxfKey(in.block)] = held{b, in}
			}
		}
	}
	return by
}

// shownAs is how a block lies where it is shown first: on the sheet, else within
// others, as deep as they are. A block within itself is told of where it is walked
// through.
func (x *dxfTracing) shownAs(key string, shown map[string]*dxfEntity, holders map[string]held) matrix {
	m := scaling(1, 1)
	for range maxInserts {
		if e := shown[key]; e != nil {
			return e.insert.matrix(geom.Point{}).times(m)
		}
		h, ok := holders[key]
		if !ok {
			break
		}
		m = h.in.matrix(geom.Point{}).times(m)
		key = dxfKey(h.block.name)
	}
	return m
}
