package main

import (
	"errors"
	"fmt"
	"maps"
	"strings"

	"toile/pattern"
	"toile/repo"
)

// unreadable says of a working pattern that cannot be read what else there is to
// do than to correct the file.
func (o *opened) unreadable(err error) error {
	if unfinished := o.repo.Unfinished(); unfinished != nil {
		return unfinished
	}
	var file *pattern.FileError
	last, lastErr := o.repo.Last()
	if lastErr != nil || last == nil || !errors.As(err, &file) {
		return err
	}
	switch _, there := o.files[file.File]; {
	case !there && file.File == repo.PatternFile:
		return fmt.Errorf("%s is missing; `toile bring-back last` brings back the one of version %d", repo.PatternFile, last.Number)
	case strings.HasPrefix(file.Reason, "not readable"):
		return fmt.Errorf("%w; correct it, or take the file of version %d with `toile bring-back last`", err, last.Number)
	}
	return err
}

// decodeOrMend reads the working pattern; in place of files that are missing or
// cannot be read it takes those of the last version. What lies in the folder
// stays in the command log, as before every command that changes the pattern.
func (o *opened) decodeOrMend() error {
	err := o.decodeWorking()
	if err == nil || o.repo.Unfinished() != nil {
		return err
	}
	last, lastErr := o.lastVersion()
	if lastErr != nil {
		return err
	}
	kept, readErr := o.repo.Read(last)
	if readErr != nil {
		return errors.Join(err, readErr)
	}
	files := maps.Clone(o.files)
	for range len(o.files) + 1 { // each turn takes one file
		var bad *pattern.FileError
		p, problem := o.reader.Decode(files)
		if problem == nil {
			o.Pattern, o.files = p, files
			return nil
		}
		content, has := kept[badFile(problem, &bad)]
		if bad == nil || string(files[bad.File]) == string(content) && has {
			return err
		}
		if delete(files, bad.File); has {
			files[bad.File] = content
		}
		o.mended = append(o.mended, bad.File)
	}
	return err
}

func badFile(problem error, bad **pattern.FileError) string {
	if errors.As(problem, bad) {
		return (*bad).File
	}
	return ""
}

// writeMended puts the files that were mended into the folder, and says so.
func (o *opened) writeMended() error {
	write, gone := repo.Files{}, []string(nil)
	for _, name := range o.mended {
		if content, has := o.files[name]; has {
			write[name] = content
		} else {
			gone = append(gone, name)
		}
	}
	if err := o.repo.WriteWorking(write, gone); err != nil {
		return err
	}
	o.say("could not be read, and is as in the last version: %s; what lay there is kept, and `toile undo` brings it back", list(o.mended))
	return nil
}
