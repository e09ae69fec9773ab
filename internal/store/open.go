package store

import (
	"cmp"
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
)

const (
	// applicationID marks our files: "SLdg" in ASCII.
	applicationID = 0x534c6467
	busyTimeout   = 5 * time.Second // how long one writer waits for another
	readers       = 4
)

// findFile makes sure that the folder holds a ledger of ours, before SQLite may
// change anything in a file that is not. With o.Create it makes one in a folder
// that is absent or empty.
func (l *Library) findFile(ctx context.Context, o Options) error {
	path := filepath.Join(l.dir, fileName)
	found, err := readHeader(ctx, path)
	if err == nil {
		err := checkHeader(found, l.dir, o.migrations)
		if errors.Is(err, errNotLibrary) {
			return cmp.Or(lost(l.dir), err) // emptied, or written over
		}
		return err
	}
	if !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, errNotFolder) {
		return err
	}
	notFolder := errors.Is(err, errNotFolder)
	entries, err := os.ReadDir(l.dir)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && !holdsFiles(entries):
		if !o.Create {
			return broken(errAbsent, l.dir, nil)
		}
		return makeLedger(ctx, l.dir, path, o.migrations)
	case err == nil || notFolder:
		if err := lost(l.dir); err != nil {
			return err
		}
		return broken(errNotLibrary, l.dir, err)
	}
	return err
}

// lost says that a folder without a ledger of ours was a library, nil where it was
// none: its backups are there still.
func lost(dir string) error {
	backups, err := filepath.Glob(filepath.Join(globSafe(dir), backupFolder, "ledger-*.db"))
	if len(backups) == 0 {
		return err
	}
	return &club.Problem{Code: ErrDamaged, Say: fmt.Sprintf("The ledger of the library in %q is gone or written over: restore the newest backup in its folder %s.", dir, backupFolder), Cause: fs.ErrNotExist}
}

var errNotFolder = errors.New("not a folder")

// fileHeader is what a database file says about itself at fixed places: the
// application's mark and the schema's version (sqlite.org/fileformat.html, section
// 1.3). A file that is no database has none.
type fileHeader struct{ application, version uint32 }

// readHeader reads it through SQLite, which neither locks nor writes nor looks for
// a journal where it is told that the file cannot change. Reading the file with our
// own hands would be dangerous: closing it drops every lock that this process has
// on it (sqlite.org/howtocorrupt.html, section 2.2), and another program could then
// take the journal away from a window that goes on writing.
//
// While a journal is copied into the file, and after a program that was killed at
// it, the file alone may look damaged and is whole with its journal.
func readHeader(ctx context.Context, path string) (fileHeader, error) {
	switch info, err := os.Stat(path); {
	case err != nil:
		if info, e := os.Stat(filepath.Dir(path)); e == nil && !info.IsDir() {
			return fileHeader{}, errNotFolder
		}
		return fileHeader{}, err
	case !info.Mode().IsRegular():
		return fileHeader{}, nil // SQLite would wait for ever at a pipe
	}
	s, err := queryHeader(ctx, path, "mode=ro&immutable=1")
	for try := 0; try < 3 && isCode(err, sqlite3.ErrCorrupt); try++ {
		params := "mode=ro&immutable=1" // the journal may have gone since: then the file is whole by now
		if hasJournal(path) {
			params = "mode=rw"
		}
		s, err = queryHeader(ctx, path, params)
	}
	if isCode(err, sqlite3.ErrNotADB) {
		return fileHeader{}, nil
	}
	return s, err
}

func queryHeader(ctx context.Context, path, params string) (s fileHeader, err error) {
	db := connect(path, params, 1)
	defer db.Close()
	err = db.QueryRowContext(ctx, "SELECT application_id, user_version FROM pragma_application_id, pragma_user_version").Scan(&s.application, &s.version)
	return s, err
}

func hasJournal(path string) bool {
	for _, end := range []string{"-wal", "-journal"} {
		if info, err := os.Stat(path + end); err == nil && info.Size() > 0 {
			return true
		}
	}
	return false
}

func isCode(err error, code sqlite3.ErrNo) bool {
	var e sqlite3.Error
	return errors.As(err, &e) && e.Code == code
}

// checkHeader refuses what is no ledger, or one of a newer version. where is for the
// sentence.
func checkHeader(s fileHeader, where string, files fs.FS) error {
	if s.application != applicationID {
		return broken(errNotLibrary, where, nil)
	}
	steps, err := readMigrations(files)
	if err == nil && s.version > uint32(len(steps)) {
		err = broken(errNewer, where, nil)
	}
	return err
}

// holdsFiles leaves out hidden files, which systems put into empty folders.
func holdsFiles(entries []fs.DirEntry) bool {
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			return true
		}
	}
	return false
}

// makeLedger makes a new ledger, whole or not at all: it is made under a hidden
// name and then given its own. Where another program was quicker, that one's
// stays.
func makeLedger(ctx context.Context, dir, path string, files fs.FS) error {
	if err := atomicfile.MkdirAll(dir); err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return err
	}
	f, err := makeFile(path, scratch.Pattern("new", ".db"), "_txlock=immediate", func(db *sql.DB) error { return migrate(ctx, db, files, nil) })
	if err != nil {
		return err
	}
	defer f.Discard()
	if err := f.CommitNew(); !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

// besides are the endings of what SQLite may put beside a database file.
func besides() []string { return []string{"-journal", "-wal", "-shm"} }

// removeLedger removes a database file and what SQLite may have put beside it.
func removeLedger(path string) {
	for _, end := range append(besides(), "") {
		_ = os.Remove(path + end)
	}
}

// connector opens connections without registering a driver for all the program.
type connector struct {
	driver *sqlite3.SQLiteDriver
	dsn    string
}

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.driver.Open(c.dsn) }
func (c connector) Driver() driver.Driver                        { return c.driver }

// connect returns a pool of at most n connections to the file. What every
// connection needs is in its name or its hook, so that a new one cannot miss it; of
// two values of one parameter the driver takes the first, that of params.
func connect(path, params string, n int) *sql.DB {
	name := url.URL{Scheme: "file", Path: path, RawQuery: params + "&_foreign_keys=1&_busy_timeout=5000&_synchronous=FULL&_stmt_cache_size=64"}
	d := &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		// A library may come from somebody else: its schema is not trusted to
		// call functions. Nothing is spilled into files outside the folder.
		_, err := c.Exec("PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON; PRAGMA temp_store=MEMORY; PRAGMA cache_size=-16000", nil)
		return err
	}}
	db := sql.OpenDB(connector{d, name.String()})
	db.SetMaxOpenConns(n)
	db.SetMaxIdleConns(n)
	return db
}

// leaveWriteAheadLog takes a ledger on a network drive out of the write-ahead log. Holding
// the file alone keeps SQLite from wanting shared memory on the way.
func leaveWriteAheadLog(ctx context.Context, path string, network bool) error {
	if !network {
		return nil
	}
	db := connect(path, "_locking_mode=EXCLUSIVE&_journal_mode=DELETE", 1)
	return errors.Join(retryBusy(ctx, func() error { return db.PingContext(ctx) }), db.Close())
}

// retryBusy repeats a call that SQLite refuses because another program has locked
// the file, for up to busyTimeout. SQLite would wait by itself, but looks again
// only ten times a second, and not at all while the journal's kind is changed: a
// busy writer could keep another out for seconds.
func retryBusy(ctx context.Context, try func() error) error {
	for end := time.Now().Add(busyTimeout); ; {
		err := try()
		if !isCode(err, sqlite3.ErrBusy) || time.Now().After(end) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(2 * time.Millisecond):
		}
	}
}

// begin starts a transaction that holds the write lock.
func begin(ctx context.Context, db *sql.DB) (tx *sql.Tx, err error) {
	err = retryBusy(ctx, func() error {
		tx, err = db.BeginTx(ctx, nil)
		return err
	})
	return tx, err
}

// unmoved makes sure that the name still leads to the file that was opened:
// writing on into a file that was moved away or deleted would lose marks that
// the screen shows as kept.
func (l *Library) unmoved() error {
	now, err := os.Stat(filepath.Join(l.dir, fileName))
	if err != nil || !os.SameFile(now, l.file) {
		return broken(ErrDrive, l.dir, err)
	}
	return nil
}
