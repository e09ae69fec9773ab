// Package desk holds the use cases of the program: put clips into the library,
// mark, log strokes, give turns, undo, sum up, export. The window and the commands
// are two front ends of it. It knows no window, no SQL and no FFmpeg.
//
// A [Desk] is safe for concurrent use. Every change is on disk when its method
// returns, as one step that can be undone.
package desk

import (
	"context"
	"errors"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/agreed"
	"strokeledger/internal/desk/beside"
	"strokeledger/internal/desk/burst"
	"strokeledger/internal/desk/catalogue"
	"strokeledger/internal/desk/consent"
	"strokeledger/internal/desk/definition"
	"strokeledger/internal/desk/entry"
	"strokeledger/internal/desk/erase"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/look"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/desk/pass"
	"strokeledger/internal/desk/pictures"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/proposed"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/ready"
	"strokeledger/internal/desk/relink"
	"strokeledger/internal/desk/ruler"
	"strokeledger/internal/desk/secondlook"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/todo"
	"strokeledger/internal/desk/trial"
	"strokeledger/internal/desk/wall"
)

// Desk works on one open library: what can be done there, by what it is done to.
type Desk struct {
	Library   *library.Library
	Place     *place.Finder
	Footage   *footage.Clips
	Listening *listening.Listener

	Marks    *entry.Marks
	Strokes  *entry.Strokes
	Turns    *entry.Turns
	Looks    *look.Looks
	Heard    *heard.Reader
	Proposed *proposed.Strokes
	Bursts   *burst.Bursts
	Ready    *ready.Moments
	Measured *measured.Meter
	Pass     *pass.Passes
	Rulers   *ruler.Rulers
	Pairings *pairing.Pairings
	Pictures *pictures.Pictures

	Relink    *relink.Relinker
	Sessions  *session.Sessions
	Catalogue *catalogue.Definitions
	Ladder    *ladder.Ladder
	Consent   *consent.Consents
	Erase     *erase.Eraser

	SecondLooks *secondlook.Looks
	Agreed      *agreed.Coaches
	Definitions *definition.Definitions
	Trials      *trial.Trials

	Summary   *summary.Summaries
	ToDo      *todo.Lister
	Documents *publish.Documents
	Beside    *beside.Beside
	Wall      *wall.Pages
	Exchange  *exchange.Exchange
}

// Open opens the library in a folder. The caller closes the desk.
func Open(ctx context.Context, dir string, o library.Options) (*Desk, error) {
	lib, err := library.Open(ctx, dir, o)
	if err != nil {
		return nil, err
	}
	d := &Desk{Library: lib, Place: place.New(lib)}
	d.Footage = footage.New(lib, d.Place, func(id club.ID) { d.Listening.Evict(id) })
	d.Listening = listening.New(lib, d.Footage)

	d.Pairings = pairing.New(lib, d.Footage, d.Listening)
	d.Marks, d.Strokes = entry.NewMarks(lib, d.Footage, d.Pairings), entry.NewStrokes(lib, d.Footage, d.Pairings)
	d.Turns, d.Looks = entry.NewTurns(lib, d.Footage), look.New(lib, d.Footage)
	d.Heard = heard.New(lib, d.Footage, d.Listening)
	d.Proposed = proposed.New(lib, d.Heard)
	d.Bursts = burst.New(lib, d.Listening, d.Heard)
	d.Ready = ready.New(lib, d.Heard, d.Proposed, d.Marks)
	d.Rulers = ruler.New(lib, d.Footage)
	d.Pictures = pictures.New(lib, d.Footage)
	d.Measured = measured.New(lib, d.Footage, d.Heard, d.Rulers)
	d.Pass = pass.New(lib, d.Listening, d.Heard, d.Marks, d.Ready, d.Measured)

	d.Relink = relink.New(lib, d.Footage)
	d.Sessions = session.New(lib, d.Footage, d.Relink)
	d.Catalogue = catalogue.New(lib)
	d.Ladder = ladder.New(lib)
	d.Consent = consent.New(lib)
	d.Erase = erase.New(lib, d.Place, d.Footage, d.Bursts)

	d.SecondLooks, d.Agreed = secondlook.New(lib), agreed.New(lib)
	d.Trials = trial.New(lib, d.Agreed)
	d.Definitions = definition.New(lib, d.Footage, d.Pairings)

	d.Summary = summary.New(lib, d.Ladder, d.Measured)
	d.ToDo = todo.New(lib)
	d.Documents = publish.New(lib, d.Place, d.Footage, d.Ladder, d.Consent, d.Summary, d.Rulers)
	d.Beside = beside.New(lib, d.Footage, d.Pictures, d.Consent, d.Documents)
	d.Wall = wall.New(lib, d.Footage, d.Consent, d.Pictures, d.Definitions, d.Documents)
	d.Exchange = exchange.New(lib, d.Place, d.Footage, d.Ladder, d.Documents)
	return d, nil
}

// Close stops what takes long, waits for it, and closes every clip and the
// library. What uses the desk later gets an error.
func (d *Desk) Close() error {
	d.Library.Jobs.Stop()
	err := d.Footage.Close() // ends the scans that jobs wait for
	d.Library.Jobs.Wait()
	d.Listening.Close()
	return errors.Join(err, d.Library.Close())
}
