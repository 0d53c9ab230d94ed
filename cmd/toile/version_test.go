package main

import (
	"bytes"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The version is the one that the build recorded; none is made up.
func TestBuildVersion(t *testing.T) {
	with := func(version string) *debug.BuildInfo {
		return &debug.BuildInfo{Main: debug.Module{Path: "toile", Version: version}}
	}
	assert.Equal(t, "v1.2.3", buildVersion(with("v1.2.3"), true))
	for _, none := range []string{"", "(devel)"} {
		assert.Equal(t, "built from its source, without a version number", buildVersion(with(none), true))
	}
	assert.Equal(t, "built from its source, without a version number", buildVersion(nil, false))
	var out, errs bytes.Buffer
	assert.Zero(t, run([]string{"--version"}, &out, &errs))
	assert.Equal(t, "toile "+buildVersion(debug.ReadBuildInfo())+"\n", out.String())
	assert.Empty(t, errs.String())
}
