package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
)

// owner is a program that has the library open for writing, as it says of itself in
// a small hidden file beside the ledger. SQLite keeps the ledger from harm; the
// file is there only so that a program that has to wait can say for which one.
type owner struct {
	What  string    `json:"what"` // "the window", "the command add"
	User  string    `json:"user"`
	Host  string    `json:"host"`
	PID   int       `json:"pid"`
	Since time.Time `json:"since"`
}

// announce writes the file. A disk that is too full for it does not keep the
// library from being opened.
func (l *Library) announce(what string) {
	o := owner{What: what, PID: os.Getpid(), Since: l.now()}
	if o.What == "" {
		o.What = "another program"
	}
	if u, err := user.Current(); err == nil {
		o.User = u.Username
	}
	o.Host, _ = os.Hostname()
	text, err := json.Marshal(o)
	if err != nil {
		return
	}
	f, err := os.CreateTemp(l.dir, scratch.Pattern("in-use", ".json"))
	if err != nil {
		return
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err != nil {
		_ = os.Remove(f.Name())
		return
	}
	l.note = f.Name()
}

// others lists who else has the library open for writing and still runs.
func (l *Library) others() (all []owner) {
	host, _ := os.Hostname()
	names, _ := filepath.Glob(filepath.Join(globSafe(l.dir), ".in-use-*.json"))
	for _, name := range names {
		text, err := os.ReadFile(name)
		var o owner
		if name == l.note || err != nil || json.Unmarshal(text, &o) != nil {
			continue
		}
		if o.Host == host && !scratch.Runs(o.PID, false) {
			continue
		}
		all = append(all, o)
	}
	return all
}

// globSafe takes the meaning from characters that a pattern would read.
func globSafe(dir string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(dir)
}

func (o owner) String() string {
	where := "this computer"
	if host, _ := os.Hostname(); o.Host != host {
		where = fmt.Sprintf("the computer %q", o.Host)
	}
	return fmt.Sprintf("%s of %s on %s (process %d, since %s)", o.What, o.User, where, o.PID, o.Since.Local().Format("15:04"))
}

// name says in a refusal who has the library, where that is known.
func (l *Library) name(err error) error {
	if p, told := club.AsProblem(err); !told || !errors.Is(p.Code, ErrBusy) {
		return err
	}
	others := l.others()
	if len(others) == 0 {
		return err
	}
	var who []string
	for _, o := range others {
		who = append(who, o.String())
	}
	say := strings.Join(who, ", or ")
	say = strings.ToUpper(say[:1]) + say[1:]
	return &club.Problem{Code: ErrBusy, Say: fmt.Sprintf("%s is writing to the library in %q: wait until that has finished, then try again.", say, l.dir), Cause: err}
}
