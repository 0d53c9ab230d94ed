package repo

import (
	"fmt"
	"os"
	"time"
)

const (
	// looseFolder stands for all: ids are spread evenly over 256 folders.
	looseFolder = "objects/17"
	// looseMany is how many files in it are too many. 27 in one mean about 6,900
	// in all, 30 MB of a pattern that packed takes 1 MB; git itself begins to
	// pack at that number.
	looseMany = 27
	// packingPause is how long the advice is not repeated.
	packingPause = 14 * 24 * time.Hour
	// packingFile is as old as the advice.
	packingFile = "packing"
)

// advisePacking says, now and then, that the stored versions want packing.
// Packing itself is left to the git program.
func (r *Repo) advisePacking(now time.Time) {
	entries, err := os.ReadDir(r.path(looseFolder))
	if err != nil || len(entries) < looseMany {
		return
	}
	if info, err := os.Stat(r.own(packingFile)); err == nil && now.Sub(info.ModTime()) < packingPause {
		return
	}
	if r.ops.Overwrite(r.own(packingFile), []byte("advised\n")) != nil {
		return
	}
	r.warn(fmt.Sprintf("The versions lie in about %d small files by now; `git gc`, run in this folder when no other command runs, makes a few of them and loses nothing.",
		(len(entries)*256+50)/100*100))
}
