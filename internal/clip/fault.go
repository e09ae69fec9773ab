package clip

import (
	"errors"
	"fmt"
	"io"
	"os"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/club"
)

// What can be wrong with a file: the codes of the problems that this package tells, see
// [club.Problem].
var (
	ErrNoVideo    = errors.New("no video")
	ErrNoSound    = errors.New("no sound")
	ErrUnfinished = errors.New("recording not finished")
	ErrNotMedia   = errors.New("not a media file")
	ErrEmpty      = errors.New("empty file")
	ErrGone       = errors.New("file is gone")
	ErrDenied     = errors.New("no permission")
	ErrFrame      = errors.New("no such frame")
	ErrClosed     = errors.New("clip is closed")
)

func problemf(code error, format string, args ...any) error {
	return &club.Problem{Code: code, Say: fmt.Sprintf(format, args...)}
}

// closed is what is told of a clip that was closed.
func closed() error { return problemf(ErrClosed, "This clip was closed meanwhile: open it again.") }

// reachable is a file's length; the error says why it cannot be read at all.
func reachable(path string) (int64, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return 0, problemf(ErrGone, "The file %q is not there: put it back, or connect its drive.", path)
	case errors.Is(err, os.ErrPermission):
		return 0, problemf(ErrDenied, "You have no permission to read %q: change its permissions or copy it to a folder of your own.", path)
	case err != nil:
		return 0, problemf(ErrGone, "The file %q cannot be reached (%v): connect its drive, or copy it to a folder of your own with a shorter name.", path, errors.Unwrap(err))
	case info.IsDir():
		return 0, problemf(ErrNotMedia, "%q is a folder: choose a film file in it.", path)
	case !info.Mode().IsRegular():
		return 0, problemf(ErrNotMedia, "%q is not an ordinary file: choose a film file.", path)
	case info.Size() == 0:
		return 0, problemf(ErrEmpty, "The file %q is empty: copy it from the camera again.", path)
	}
	f, err := os.Open(path)
	if errors.Is(err, os.ErrPermission) {
		return 0, problemf(ErrDenied, "You have no permission to read %q: change its permissions or copy it to a folder of your own.", path)
	}
	if err != nil {
		return 0, problemf(ErrGone, "The file %q cannot be read (%v): connect its drive, or copy it from the camera again.", path, errors.Unwrap(err))
	}
	return info.Size(), f.Close()
}

// unreadable turns a failure to make sense of a readable file into a sentence.
func unreadable(path string) error {
	if unfinished(path) {
		return problemf(ErrUnfinished, "The recording %q was not finished, so it cannot be shown: copy it from the camera again, or let the camera finish it.", path)
	}
	return problemf(ErrNotMedia, "%q is not a media file that can be read: choose a film file, or copy it from the camera again.", path)
}

// noVideo says what is there instead.
func noVideo(path string, streams []av.Stream) error {
	sound, cover := false, false
	for _, s := range streams {
		sound = sound || s.Kind == av.Sound
		cover = cover || s.Kind == av.Video && s.Cover
		if s.Kind == av.Video && !s.Cover && !s.Known {
			return problemf(ErrNoVideo, "The video in %q is of a kind (%s) that this computer cannot decode: convert it to H.264 first.", path, s.Codec)
		}
	}
	what := "nothing that can be shown"
	switch {
	case sound && cover:
		what = "only sound and a cover picture"
	case sound:
		what = "only sound"
	case cover:
		what = "only a cover picture"
	}
	return problemf(ErrNoVideo, "There is no video in %q (%s): choose a film file.", path, what)
}

func noPicture(path string) error {
	return problemf(ErrNoVideo, "There is not one whole picture in %q: copy it from the camera again.", path)
}

// unfinished reports whether a file is an MP4 or QuickTime film whose index was
// never written: media data and no movie box (ISO/IEC 14496-12, 8.2.1).
func unfinished(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	known := map[string]bool{"ftyp": true, "free": true, "skip": true, "wide": true, "mdat": true, "uuid": true, "moof": true, "sidx": true, "styp": true, "pnot": true, "prft": true, "emsg": true}
	for pos, data := int64(0), false; ; {
		var b [16]byte
		n, err := f.ReadAt(b[:], pos)
		if n < 8 && err == io.EOF || err != nil && err != io.EOF {
			return data
		}
		name := string(b[4:8])
		if !known[name] {
			return data && name != "moov" && pos > 0
		}
		data = data || name == "mdat"
		size := int64(b[0])<<24 | int64(b[1])<<16 | int64(b[2])<<8 | int64(b[3])
		if size == 1 && n == 16 {
			size = 0
			for _, c := range b[8:] {
				size = size<<8 | int64(c)
			}
		}
		if size < 8 {
			return data
		}
		pos += size
	}
}
