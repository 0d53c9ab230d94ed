package main

import (
	"os"
	"runtime"
	"runtime/debug"
)

// spareGrowth is by how many per cent memory may grow before unused memory is
// looked for the first time. A Go program begins to look at 4 MB, and so often
// that a command of some tens of milliseconds spends a fifth of its time on it;
// from 64 MB on the usual measure holds.
const spareGrowth = 1600

// spareCollection lets a command that ends soon end before its memory is cleared
// up. GOGC, where somebody has set it, holds as it is.
func spareCollection() {
	if os.Getenv("GOGC") != "" {
		return
	}
	usual := debug.SetGCPercent(spareGrowth)
	first := new([16]byte)
	runtime.AddCleanup(first, func(percent int) { debug.SetGCPercent(percent) }, usual)
}
