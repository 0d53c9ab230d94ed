package repo

import (
	"sync"
	"time"

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

// bootTime is when the system was started, zero where that is not known.
func bootTime() time.Time {
	at, err := unix.SysctlTimeval("kern.boottime")
	if err != nil {
		return time.Time{}
	}
	return time.Unix(at.Unix())
}
