package repo

import (
	"sync"

	"golang.org/x/sys/unix"
)

// bootID names the system's running since it was started: it is another one after
// the machine was stopped.
var bootID = sync.OnceValue(func() string {
	text, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return text
})
