package repo

import (
	"fmt"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// ReadFolder reads the files of a version that lie in one folder, by slash
// path, and no others.
func (r *Repo) ReadFolder(v Version, folder string) (Files, error) {
	c, err := r.contentsOfVersion(v)
	if err != nil {
		return nil, err
	}
	files := Files{}
	for name, id := range c.files {
		if !strings.HasPrefix(name, folder+"/") {
			continue
		}
		content, err := r.object(plumbing.BlobObject, id)
		if err == nil && len(content) > MaxFileSize {
			err = tooLarge(name, int64(len(content)))
		}
		if err != nil {
			return nil, fmt.Errorf("version %d, %s: %w", v.Number, name, err)
		}
		files[name] = content
	}
	return files, nil
}
