// Package store keeps one club's library: a folder with one SQLite file, the
// ledger. It is the only user of SQL. It knows the domain's values and rules and
// nothing of films, screens or how a number is worked out.
//
// Every change goes through Library.Do: one call is one transaction, one entry
// of the append-only change log and one step of undo, and it is on the disk when
// the call returns. Two programs may use one library at once; a writer waits up
// to five seconds for another.
//
// Frames are counted from 0 in presentation order; ticks are whole units of the
// clip's own time base.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/drive"
	"strokeledger/internal/scratch"
)

// fileName is the ledger's name inside the library folder.
const fileName = "ledger.db"

// Options say how to open a library. The zero value opens one that is there.
type Options struct {
	Create bool             // make a library where the folder is absent or empty
	Now    func() time.Time // nil: time.Now
	NewID  func() club.ID   // for entries of the change log; nil: club.NewID
	Who    string           // what others who have to wait are told: "the window"; empty: "another program"
	// Waiting is called with the progress while a reader waits for clips to be
	// packed: a few times a second and once at the end, also where packing is given
	// up; never for work that is done soon. May be nil.
	Waiting func(done, total int)

	network    func(dir string) bool // nil: overNetwork
	migrations fs.FS                 // nil: the embedded ones
}

func (o *Options) fill() {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewID == nil {
		o.NewID = club.NewID
	}
	if o.network == nil {
		o.network = drive.OverNetwork
	}
	if o.migrations == nil {
		o.migrations = migrations()
	}
}

// Library is an open library. All its methods may be called at the same time.
type Library struct {
	dir      string
	file     fs.FileInfo // of the ledger as it was opened
	write    *sql.DB     // one connection; nil in a library that cannot be written
	read     *sql.DB     // a pool that never writes
	readOnly bool
	still    bool // SQLite was told that nothing changes in the file: see view
	network  bool
	now      func() time.Time
	newID    func() club.ID
	waiting  func(done, total int) // see Options
	note     string                // the file that says who we are, see owner
	closing  sync.Once
	closed   error
	isClosed atomic.Bool  // Close was called
	filling  atomic.Int32 // readers that pack clips
}

// Open opens the library in the folder dir, or makes it (Options.Create), and
// brings an older one up to date after backing it up beside. A library that may
// be read but not written opens too; see ReadOnly. The caller closes it.
//
// Errors: errAbsent, errNotLibrary, errNewer, ErrBusy, ErrReadOnly (one that
// cannot even be read safely), ErrFull, ErrDamaged, ErrDrive.
func Open(ctx context.Context, dir string, o Options) (*Library, error) {
	o.fill()
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("find the folder %q: %w", dir, err)
	}
	l := &Library{dir: dir, now: o.Now, newID: o.NewID, waiting: o.Waiting}
	if err := l.open(ctx, o); err != nil {
		return nil, errors.Join(l.name(classify(err, dir)), l.Close())
	}
	return l, nil
}

func (l *Library) open(ctx context.Context, o Options) error {
	if err := l.findFile(ctx, o); err != nil {
		return err
	}
	path := filepath.Join(l.dir, fileName)
	l.network = o.network(l.dir)
	l.readOnly = !drive.Writable(path) || !drive.Writable(l.dir)
	if l.readOnly {
		return l.openReadOnly(ctx, path, o)
	}
	if err := leaveWriteAheadLog(ctx, path, l.network); err != nil {
		return err
	}
	// With the log a writer waits only where it begins; without it also for readers
	// where it ends, and there SQLite's own busy handler has to wait.
	journal := "_journal_mode=WAL&_timeout=50"
	if l.network {
		journal = "_journal_mode=DELETE"
	}
	l.write = connect(path, journal+"&_txlock=immediate", 1)
	if err := retryBusy(ctx, func() error { return l.write.PingContext(ctx) }); err != nil {
		return err
	}
	if err := migrate(ctx, l.write, o.migrations, l.backupBefore(o.Now)); err != nil {
		return err
	}
	l.read = connect(path, "_query_only=1", readers)
	if err := l.remember(path); err != nil {
		return err
	}
	now := o.Now()
	scratch.SweepLibrary(l.dir, l.network, now)
	scratch.SweepLibrary(filepath.Join(l.dir, backupFolder), l.network, now)
	l.announce(o.Who)
	l.resumeTidying(ctx)
	return nil
}

// openReadOnly opens a library in a place where nothing can be written. An older
// one is refused, since it would have to be brought up to date first.
func (l *Library) openReadOnly(ctx context.Context, path string, o Options) error {
	mode := "mode=ro"
	wal, err := os.Stat(path + "-wal")
	// SQLite wants to make a file for the index of its log. Where it may not, and
	// no changes lie in that log, the file is read as it stands; where some do, it
	// can only be read with the index that another program has made.
	if l.still = !drive.Writable(l.dir) && (err != nil || wal.Size() == 0); l.still {
		mode += "&immutable=1"
	}
	l.read = connect(path, mode+"&_query_only=1", readers)
	have, err := version(ctx, l.read)
	if err != nil {
		return err
	}
	steps, err := readMigrations(o.migrations)
	if err != nil {
		return err
	}
	switch {
	case have > len(steps):
		return broken(errNewer, l.dir, nil)
	case have < len(steps):
		return broken(ErrReadOnly, l.dir, errors.New("older library cannot be brought up to date"))
	}
	return l.remember(path)
}

func (l *Library) remember(path string) (err error) {
	l.file, err = os.Stat(path)
	return err
}

// Close ends all use of the library; further calls fail with errClosed. It may be called twice.
func (l *Library) Close() error {
	l.closing.Do(func() {
		l.isClosed.Store(true)
		for _, db := range []*sql.DB{l.read, l.write} { // the writer last: it folds the log into the file
			if db != nil {
				l.closed = errors.Join(l.closed, db.Close())
			}
		}
		if l.note != "" {
			_ = os.Remove(l.note) // else the next start does
		}
	})
	return l.closed
}

// Dir is the library's folder, absolute.
func (l *Library) Dir() string { return l.dir }

// Owns tells whether a file is the ledger or one that SQLite keeps beside it:
// nothing else may go in its place.
func (l *Library) Owns(path string) bool {
	here, err := os.Stat(l.dir)
	there, other := os.Stat(filepath.Dir(path))
	return strings.HasPrefix(filepath.Base(path), fileName) && err == nil && other == nil && os.SameFile(here, there)
}

// Reserved tells the same of whatever library lies in the folder of a path.
func Reserved(path string) bool {
	return strings.HasPrefix(filepath.Base(path), fileName) && isFile(filepath.Join(filepath.Dir(path), fileName))
}

// ReadOnly reports whether every change will be refused with ErrReadOnly.
func (l *Library) ReadOnly() bool { return l.readOnly }

// Warning is a sentence that the coach should see while this library is open,
// "" for none.
func (l *Library) Warning() string {
	switch {
	case l.network:
		return fmt.Sprintf("The library in %q lies on a network drive: use it from one computer at a time, and keep backups on a drive of your own.", l.dir)
	case l.readOnly:
		return broken(ErrReadOnly, l.dir, nil).Error()
	}
	return ""
}

// view runs read on one unchanging state of the library.
func (l *Library) view(ctx context.Context, read func(*sql.Tx) error) error {
	tx, err := l.read.BeginTx(ctx, nil)
	if err != nil {
		return l.classify(err)
	}
	defer tx.Rollback()
	err = l.classify(read(tx))
	if l.still {
		// Somebody who may write there could have: then what was read is worth nothing.
		if now, e := os.Stat(filepath.Join(l.dir, fileName)); e != nil || !os.SameFile(now, l.file) || !now.ModTime().Equal(l.file.ModTime()) || now.Size() != l.file.Size() {
			return &club.Problem{Code: ErrBusy, Say: fmt.Sprintf("The library in %q was changed by somebody else: open it again.", l.dir), Cause: errors.Join(err, e)}
		}
	}
	return err
}
