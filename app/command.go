package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/sentence"
)

// version is set by the build.
var version = "dev"

// The exit codes.
const (
	exitFine   = 0
	exitFailed = 1 // one plain sentence stands on stderr
	exitUsage  = 2 // the command was put wrongly
)

// cli is the command line: one field a command, one file a field.
type cli struct {
	Library string           `help:"Folder of the library." type:"path" placeholder:"DIR"`
	Version kong.VersionFlag `help:"Print the version and stop."`

	Window         windowCmd         `cmd:"" default:"withargs" help:"Open the window (what happens without a command)."`
	Demo           demoCmd           `cmd:"" help:"Make the invented club: clips, ledger, marks, truth.json."`
	Add            addCmd            `cmd:"" help:"Put clips into the library."`
	Frames         framesCmd         `cmd:"" help:"Tell what is in a media file: size, every frame's number and time, sound, notices."`
	Still          stillCmd          `cmd:"" help:"Write frames of a clip of the library, or of a file, as PNG at display size."`
	Contacts       contactsCmd       `cmd:"" help:"Tell when ball met racket or table, as heard in a clip or sound file."`
	Joints         jointsCmd         `cmd:"" help:"Tell where the joints of the people in frames of a clip are."`
	Bursts         burstsCmd         `cmd:"" help:"Tell the bursts of play in a clip: what could be its turns, as heard."`
	Cameras        camerasCmd        `cmd:"" help:"Tell how two clips of the same minutes lie to each other, by their sound, and line them up."`
	Ruler          rulerCmd          `cmd:"" help:"Measure on the floor of a clip, with the table as the ruler."`
	Measures       measuresCmd       `cmd:"" help:"Measure the strokes of a clip: feet from the table, elbow, hand on the way back and when it is there."`
	Summary        summaryCmd        `cmd:"" help:"Print the fault summary."`
	Reel           reelCmd           `cmd:"" help:"Write a film of a player's marks, or of good strokes."`
	Pairs          pairsCmd          `cmd:"" help:"List the pairs of pictures that are looked at side by side."`
	Pair           pairCmd           `cmd:"" help:"Write a page or a film of a pair of pictures, or remove it."`
	KeepPair       keepPairCmd       `cmd:"" help:"Keep two pictures as a pair."`
	Family         familyCmd         `cmd:"" help:"Write a page for each player and family: one side in plain words, with pictures of the player alone."`
	Captions       captionsCmd       `cmd:"" help:"Write the marks and turns of a clip as WebVTT captions and chapters."`
	Record         recordCmd         `cmd:"" help:"Write everything that the library knows as data (JSON)."`
	AddRecord      addRecordCmd      `cmd:"" help:"Read a record into a library that holds nothing yet."`
	Merge          mergeCmd          `cmd:"" help:"Take a record into a library that has rows of its own; without --yes, tell what that comes to."`
	Check          checkCmd          `cmd:"" help:"Verify a library: integrity, missing clips, stray rows."`
	Mark           markCmd           `cmd:"" help:"Enter marks on a clip, one a line: frame and code of the fault."`
	Drawings       drawingsCmd       `cmd:"" help:"List what is drawn on the pictures of a clip."`
	Todo           todoCmd           `cmd:"" help:"Tell what is still to do: turns that nobody has looked through, turns without strokes, clips without turns."`
	SecondLook     secondLookCmd     `cmd:"" help:"Choose turns to be looked at a second time without seeing what was marked the first, and begin."`
	SecondLooks    secondLooksCmd    `cmd:"" help:"List the second looks; finish or leave the one that goes on."`
	Agreement      agreementCmd      `cmd:"" help:"Tell how far two coaches agree on what both looked through."`
	AgreementOfAll agreementOfAllCmd `cmd:"" help:"Tell how far all coaches agree who looked through the same turns."`
	Disagreements  disagreementsCmd  `cmd:"" help:"List the strokes of which two coaches said different faults, the most costly first."`
	Settle         settleCmd         `cmd:"" help:"Settle one stroke of which two coaches said different faults."`
	Definitions    definitionsCmd    `cmd:"" help:"Tell what each fault means: what counts, what does not, since when, and which pictures show it."`
	Define         defineCmd         `cmd:"" help:"Write what a fault means from now on."`
	Model          modelCmd          `cmd:"" help:"Say that a picture of a clip shows what a fault is, or what it is not."`
	Wall           wallCmd           `cmd:"" help:"Write the page of what each fault means, to hang on the wall and to train a new coach with."`
	SelfTest       selfTestCmd       `cmd:"" help:"Test the coach who marks on strokes of which the team knows what is there; tell how it went."`
	Forget         forgetCmd         `cmd:"" help:"Take a player out of the library for good; without --yes, tell what would go."`
	Backup         backupCmd         `cmd:"" help:"Write the ledger to one file."`
	Restore        restoreCmd        `cmd:"" help:"Put a backup in the ledger's place."`
}

// command is what every command gets: where to write, and the library to work on.
type command struct {
	ctx     context.Context
	in      io.Reader // what is entered line by line
	name    string    // as others who have to wait are told
	waiting *bar      // of a summary that waits for clips
	out     *bufio.Writer
	say     io.Writer // progress and remarks, apart from what is asked for
	library string
}

// run carries out one command line and returns the exit code. in is what is entered
// line by line.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	var c cli
	usage := false
	answer := bufio.NewWriterSize(printed{out}, 1<<16) // with room for all of the help: a failed write to it is reported as an error, once
	parser, err := kong.New(&c,
		kong.Name("strokeledger"),
		kong.Description("Stroke faults per player and drill, from training clips. Everything stays on this computer."),
		kong.Vars{"version": version},
		kong.Writers(answer, errs),
		plainly(),
		kong.Exit(func(int) { usage = true }), // help and version were printed
	)
	if err != nil {
		fmt.Fprintln(errs, err)
		return exitFailed
	}
	if emptyWord(args) {
		fmt.Fprintln(errs, "One of the words of the command is empty: leave it out, or write what it should be.")
		return exitUsage
	}
	k, err := parser.Parse(args)
	if err != nil && !usage {
		fmt.Fprintf(errs, "%s: try strokeledger --help.\n", onLine(err.Error()))
		return exitUsage
	}
	if usage {
		return ended(answer.Flush(), errs)
	}
	cmd := &command{ctx: ctx, in: in, name: "the command " + k.Selected().Name, out: answer, say: errs, library: c.Library, waiting: newBar(errs)}
	if cmd.library == "" {
		cmd.library = usualLibrary()
	}
	err = k.Run(cmd)
	cmd.waiting.end()
	if e := answer.Flush(); err == nil {
		err = e
	}
	return ended(err, errs)
}

// usualLibrary is the folder of the library where none is named.
func usualLibrary() string { return filepath.Join(xdg.DataHome, "strokeledger", "library") }

// ended says what went wrong, if anything, and returns the exit code.
func ended(err error, errs io.Writer) int {
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, errUsage):
		fmt.Fprintln(errs, sentence.Of(err))
		return exitUsage
	}
	fmt.Fprintln(errs, sentence.Of(err))
	return exitFailed
}

// errUsage is the code of a command put wrongly in a way that the parser cannot see.
var errUsage = errors.New("wrong use of a command")

func wrongUse(format string, args ...any) error {
	return &club.Problem{Code: errUsage, Say: fmt.Sprintf(format, args...)}
}

// printed is standard output, whose errors are told in a sentence.
type printed struct{ out io.Writer }

func (p printed) Write(b []byte) (int, error) {
	n, err := p.out.Write(b)
	return n, sentence.File("print to", "standard output", err)
}

// open opens the library of the command line; the caller closes it.
func (c *command) open(create bool) (*desk.Desk, error) {
	return desk.Open(c.ctx, c.library, library.Options{Create: create, Who: c.name, Program: version, Waiting: c.wait})
}

// catalogued opens the library and reads its catalogue; the caller closes it.
func (c *command) catalogued() (d *desk.Desk, cat club.Catalogue, err error) {
	if d, err = c.open(false); err != nil {
		return nil, cat, err
	}
	if cat, err = d.Library.Catalogue(c.ctx); err != nil {
		d.Close()
		return nil, cat, err
	}
	return d, cat, nil
}

// wait shows how many clips are ready of those that a summary waits for.
func (c *command) wait(done, total int) {
	c.waiting.show(done, total, fmt.Sprintf("%d clips made ready, once", total))
	if done == total {
		c.waiting.end()
	}
}
