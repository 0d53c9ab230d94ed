package pattern

// CutRow is what is to be cut of one piece.
type CutRow struct {
	Piece  *Piece
	Count  int     // how many pieces of cloth: a pair is two, one on the fold is one
	Area   float64 // of one of them opened out, within its cutting line, in mm²
	Reason error   // why there is no cutting line, and so no area; nil where there is one
}

// Total is the area of all of them in mm².
func (r CutRow) Total() float64 { return float64(r.Count) * r.Area }

// ClothArea is what is cut from one cloth.
type ClothArea struct {
	Cloth string
	Count int     // pieces of cloth
	Area  float64 // mm²; cloth between the pieces is not in it
	Whole bool    // every piece of it has an area
}

// CuttingList lists what is to be cut for an allowance set, in the order of the
// pieces, and the sum for each cloth, in the order in which cloths come.
func (p *Pattern) CuttingList(set string) ([]CutRow, []ClothArea) {
	var rows []CutRow
	var cloths []ClothArea
	at := map[string]int{}
	for _, q := range p.Pieces {
		row := CutRow{Piece: q, Count: 1}
		row.Area, row.Reason = q.CutArea(set)
		switch q.Cut {
		case CutPair:
			row.Count = 2
		case CutOnFold:
			row.Area *= 2
		}
		rows = append(rows, row)
		i, known := at[q.Cloth]
		if !known {
			i = len(cloths)
			at[q.Cloth] = i
			cloths = append(cloths, ClothArea{Cloth: q.Cloth, Whole: true})
		}
		cloths[i].Count += row.Count
		cloths[i].Area += row.Total()
		cloths[i].Whole = cloths[i].Whole && row.Reason == nil
	}
	return rows, cloths
}
