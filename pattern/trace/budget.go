package trace

// budget counts what a drawing costs to read, so that a small file that
// multiplies itself by use stops early. The zero budget is a full one.
type budget struct {
	drawn, drawnCurves, chars, sorted int
}

// element counts one more element drawn.
func (b *budget) element() error {
	if b.drawn++; b.drawn > maxElements {
		return tooLarge("more than %d elements are drawn, copies counted; "+
			"make the copies real and leave out what is not a pattern piece", maxElements)
	}
	return nil
}

// curves counts further curves.
func (b *budget) curves(n int) error {
	if b.drawnCurves += n; b.drawnCurves > maxCurves {
		return tooLarge("more than %d curves; simplify the paths, or leave out what is not a pattern piece", maxCurves)
	}
	return nil
}

// text counts characters parsed, which a copy by use parses again.
func (b *budget) text(n int) error {
	if b.chars += n; b.chars > 2*MaxBytes {
		return tooLarge("more than %d MB of path data, copies counted", 2*MaxBytes/1_000_000)
	}
	return nil
}

// sorting counts steps of finding what lies in which outline.
func (b *budget) sorting(n int) error {
	if b.sorted += n; b.sorted > maxSorting {
		return tooLarge("too many marks in too many curves to sort; trace the pieces from separate files")
	}
	return nil
}
