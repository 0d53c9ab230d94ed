package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/repo"
)

func newShare(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "share copy|send|receive|place …",
		Short: "Exchange the pattern with others, through a server, a folder or a stick",
		Long: `Exchanges versions with others, through any git server or through one file in a
folder or on a stick. Each place is remembered under a name, so that the address
is typed once:

  https://HOST/PATH          a server; the sign-in comes from git's own store of
                             passwords
  USER@HOST:PATH             a server by ssh; also ssh://USER@HOST:PORT/PATH. The
                             key comes from the ssh agent, and the server must be
                             known to this account
  FOLDER or NAME.bundle      a folder or a stick: one file, a bundle, of all
                             versions
  FOLDER                     on this machine or a shared disk, one that git init
                             --bare has made and that only keeps versions; or
                             somebody's pattern, to copy or receive from

No password is ever written into a file or a message, and an address with one in
it is refused. What is received is looked through before any of it is kept.
docs/sharing.md says more, also on who can see what.

` + exitCodes,
		Example: `  toile share send ssh://ines@patterns.example.org/srv/smock.git
  toile share receive
  toile share copy /media/stick`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newShareCopy(a), newShareSend(a), newShareReceive(a), newSharePlace(a))
	for _, c := range cmd.Commands() {
		c.Args = plainly(c.Args)
	}
	return cmd
}

// exchange is how this command line exchanges. Programs are those that git
// itself would use.
func (a *app) exchange() repo.Exchange {
	x := repo.Exchange{
		Say:   func(text string) { fmt.Fprintln(a.stderr, repo.Printable(text)) },
		Check: checkReceived,
	}
	if command := os.Getenv("GIT_SSH_COMMAND"); command != "" {
		x.Programs.Shell = []string{"sh", "-c", command + ` "$@"`, "ssh"}
	} else if program := os.Getenv("GIT_SSH"); program != "" {
		x.Programs.Shell = []string{program}
	}
	return x
}

// checkReceived reads a version that somebody else made. Whatever it holds, the
// answer is an error at worst.
func checkReceived(files repo.Files) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.New("its files cannot be read")
		}
	}()
	_, err = pattern.Decode(files)
	return err
}

// interruptible ends with Ctrl-C, so that what was begun is cleared away.
func interruptible() (context.Context, context.CancelFunc) {
	return signal.NotifyContext(context.Background(), os.Interrupt)
}

// places completes the names of places.
func (a *app) places() completion {
	return a.offer(func(o *opened, _ []string, _ string) []string {
		var names []string
		for _, p := range o.repo.Places() {
			names = append(names, p.Name+"\t"+p.Address.String())
		}
		return names
	})
}

func newShareCopy(a *app) *cobra.Command {
	var as string
	var names bool
	cmd := &cobra.Command{
		Use:   "copy FROM [DIR]",
		Short: "Make a copy of somebody's pattern, with all its versions",
		Long: `Makes a pattern of everything that a place has, in a folder that is not there yet
or is empty; without DIR it is called like the file that is found there, or as the
place's path ends. FROM is an address, as ` + "`toile share --help`" + ` shows them. The place is
remembered, under the name that --as gives. A copy that was broken off is made by
the same command again.

Given names of versions come along with --names.

` + exitCodes,
		Example: `  toile share copy ines@patterns.example.org:smock.git
  toile share copy /media/stick orchard-smock --names`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := a.folder
			if len(args) == 2 {
				dir = args[1]
				if a.folder != "" {
					return usagef("a folder is named twice, %s and %s; leave one out", args[1], a.folder)
				}
			}
			return a.shareCopy(args[0], dir, as, names)
		},
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 1 {
				return nil, noFiles
			}
			return nil, cobra.ShellCompDirectiveDefault
		},
	}
	cmd.Flags().StringVar(&as, "as", "", "the `NAME` under which the place is remembered")
	cmd.Flags().BoolVar(&names, "names", false, "take over given names of versions too")
	completeFlagWith(cmd, "as", nothing)
	return cmd
}

func (a *app) shareCopy(from, dir, as string, names bool) error {
	address, err := repo.ParseAddress(from)
	if err != nil {
		return err
	}
	if dir == "" {
		dir = repo.FolderFor(address)
	}
	ctx, stop := interruptible()
	defer stop()
	x := a.exchange()
	x.Names = names
	r, c, err := repo.Copy(ctx, dir, address, as, x)
	if err != nil {
		return err
	}
	defer r.Close()
	for _, w := range r.Warnings() {
		fmt.Fprintln(a.stderr, w)
	}
	files, err := r.Working()
	if err != nil {
		return err
	}
	p, err := pattern.Decode(files)
	if err != nil {
		return err
	}
	o := &opened{Pattern: p, repo: r, now: a.now}
	o.say("%s: copied to %s, %s", p.Name, filepath.ToSlash(dir), count(c.Versions, "version", "versions"))
	for _, b := range c.Branches {
		if b.Name == c.Branch {
			o.say("  it stands on %s, version %d: %s", b.Name, b.Last.Number, oneLine(b.Last))
		} else {
			o.say("  %s/%s: version %d: %s", c.Place.Name, b.Name, b.Last.Number, oneLine(b.Last))
		}
	}
	o.sayNames(c.Received)
	o.advise("The place is remembered as %s: `toile share receive` brings what is new there.", c.Place.Name)
	return o.tell(a)
}

// tell prints what a command had to say that did not go through open.
func (o *opened) tell(a *app) error {
	if _, err := o.result.WriteTo(a.stdout); err != nil {
		return err
	}
	_, err := o.advice.WriteTo(a.stderr)
	return err
}
