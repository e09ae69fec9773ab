package exchange

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/report/record"
	"strokeledger/internal/sentence"
)

// partName ends the name of a film that is copied in part.
const partName = ".part"

// beside is the folder for the films of a record.
func beside(path string) string {
	return strings.TrimSuffix(path, filepath.Ext(path)) + ".films"
}

// nameOf is what a film is called there: it tells nothing of who is in it.
func nameOf(c club.Clip) string {
	return c.Fingerprint[:min(16, len(c.Fingerprint))] + strings.ToLower(filepath.Ext(c.Path))
}

// copyOut copies the films of clips beside a record.
func (x *Exchange) copyOut(ctx context.Context, clips []club.Clip, path string, progress func(float64)) (films []record.Film, missing []string, err error) {
	missing = []string{}
	var there []club.Clip
	total, done := int64(0), int64(0)
	for _, c := range clips {
		if c.Fingerprint == "" {
			continue
		}
		if at, err := x.place.Locate(ctx, c); err != nil {
			if ctx.Err() != nil {
				return nil, nil, ctx.Err()
			}
			missing = append(missing, c.Name)
		} else {
			there, total = append(there, at), total+at.Bytes
		}
	}
	dir := beside(path)
	if len(there) > 0 {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return nil, nil, sentence.File("make the folder", dir, err)
		}
	}
	for _, c := range there {
		name := nameOf(c)
		sum, n, err := copyFilm(ctx, c.Path, filepath.Join(dir, name), "", func(n int64) { tell(progress, done+n, total) })
		if err != nil {
			return nil, nil, err
		}
		done += n
		films = append(films, record.Film{Fingerprint: c.Fingerprint, File: name, Bytes: n, SHA256: sum})
	}
	return films, missing, nil
}

func tell(progress func(float64), done, total int64) {
	if progress != nil && total > 0 {
		progress(min(1, float64(done)/float64(total)))
	}
}

// copyIn copies the films that lie beside a record into a folder, and returns by
// fingerprint where they lie now.
func copyIn(ctx context.Context, films []record.Film, path, folder string, progress func(float64)) (map[string]string, error) {
	total, done := int64(0), int64(0)
	for _, f := range films {
		total += f.Bytes
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, sentence.File("make the folder", folder, err)
	}
	at := map[string]string{}
	for _, f := range films {
		if f.File != filepath.Base(f.File) || f.File == "." || f.File == ".." || strings.ContainsAny(f.File, `/\`) {
			return nil, &club.Problem{Say: "The file names a film outside its folder, so nothing was taken: write it anew with the library that it comes from."}
		}
		from, to := filepath.Join(beside(path), f.File), filepath.Join(folder, f.File)
		_, n, err := copyFilm(ctx, from, to, f.SHA256, func(n int64) { tell(progress, done+n, total) })
		if err != nil {
			return nil, err
		}
		done += n
		at[f.Fingerprint] = to
	}
	return at, nil
}

// copyFilm copies a file and returns its SHA-256 and length. A copy that is there is not
// made again; one that was cut short is gone on with, where what is there is the same. A
// file of another SHA-256 than is wanted, if one is, does not get its name.
func copyFilm(ctx context.Context, from, to, want string, progress func(int64)) (sum string, n int64, err error) {
	src, err := os.Open(from)
	if err != nil {
		return "", 0, sentence.File("read", from, err)
	}
	defer src.Close()
	size, err := src.Stat()
	if err != nil {
		return "", 0, sentence.File("read", from, err)
	}
	have, err := os.Open(to)
	whole := err == nil
	if errors.Is(err, fs.ErrNotExist) {
		have, err = os.OpenFile(to+partName, os.O_RDWR|os.O_CREATE, 0o600)
	}
	if err != nil {
		return "", 0, sentence.File("write", to, err)
	}
	defer have.Close()
	h := sha256.New()
	at, err := alike(ctx, src, have, h, progress)
	if err != nil {
		return "", 0, sentence.File("read", from, err)
	}
	if length, err := have.Stat(); whole && (err != nil || at != size.Size() || length.Size() != at) {
		return "", 0, &club.Problem{Say: fmt.Sprintf("There is another file called %q already: choose another folder, or move it away.", to), Cause: err}
	} else if whole {
		sum = hex.EncodeToString(h.Sum(nil))
		return sum, at, handedOver(from, sum, want)
	}
	if err := errors.Join(have.Truncate(at), seek(have, at), seek(src, at)); err != nil {
		return "", 0, sentence.File("write", to, err)
	}
	if n, err = pour(ctx, io.MultiWriter(have, h), src, at, progress); err != nil {
		return "", 0, sentence.File("write", to, err)
	}
	sum = hex.EncodeToString(h.Sum(nil))
	if err := handedOver(from, sum, want); err != nil {
		_ = os.Remove(to + partName) // to be copied anew
		return "", 0, err
	}
	err = errors.Join(have.Sync(), have.Close())
	if err == nil {
		err = errors.Join(os.Rename(to+partName, to), atomicfile.SyncFolder(filepath.Dir(to)))
	}
	return sum, n, sentence.File("write", to, err)
}

func handedOver(from, sum, want string) error {
	if want == "" || sum == want {
		return nil
	}
	return &club.Problem{Say: fmt.Sprintf("The film %q is not the one that was handed over, so nothing was taken: copy it again from where the record comes from.", from)}
}

func seek(f *os.File, at int64) error {
	_, err := f.Seek(at, io.SeekStart)
	return err
}

// alike hashes as much of src as have holds too, and returns how much that is, in whole
// pieces.
func alike(ctx context.Context, src, have io.Reader, h hash.Hash, progress func(int64)) (at int64, err error) {
	a, b := make([]byte, pieceSize), make([]byte, pieceSize)
	for {
		n, err := io.ReadFull(src, a)
		m, errHave := io.ReadFull(have, b)
		if ctx.Err() != nil {
			return at, ctx.Err()
		}
		if n == 0 || n != m || string(a[:n]) != string(b[:n]) {
			if n > 0 && err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
				return at, err
			}
			//lint:ignore nilerr a film that ends here is alike so far
			return at, nil
		}
		h.Write(a[:n])
		at += int64(n)
		progress(at)
		if errHave != nil {
			//lint:ignore nilerr the copy ends here, and may be written on
			return at, nil
		}
	}
}

// pieceSize is how much of a film is copied before it is looked whether to go on.
const pieceSize = 1 << 20

func pour(ctx context.Context, to io.Writer, from io.Reader, at int64, progress func(int64)) (int64, error) {
	for {
		n, err := io.CopyN(to, from, pieceSize)
		at += n
		progress(at)
		switch {
		case errors.Is(err, io.EOF):
			return at, nil
		case err != nil:
			return at, err
		case ctx.Err() != nil:
			return at, ctx.Err()
		}
	}
}
