package av

import (
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"github.com/asticode/go-astiav"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/timecode"
)

// FilmOptions says how a film is written.
type FilmOptions struct {
	Width, Height int           // pixels, both even
	Rate          timecode.Base // seconds a picture: 1/50
	KeyEvery      int           // pictures from one key picture to the next at most; 0: two seconds
	SoundRate     int           // samples a second; 0: no sound
	SoundChannels int           // 1 or 2; 0: 1
	CRF           int           // libx264's quality, 1 (best) to 51; 0: 20
	Threads       int           // of the picture encoder; 0: as many as it likes
	Recorded      time.Time     // written as the creation time; zero: none
}

// Film writes one MP4 file of H.264 pictures and AAC sound. Picture n is shown
// at n times the rate and sample s is heard at s / SoundRate, both from zero, so
// that a contact drawn and sounded at one time is seen and heard at one time.
// The file says BT.709, limited range, and names no place, device or encoder.
//
// Until Close has succeeded the film lies under a temporary name in the same
// folder, so that a half-written file never bears the wanted name. A Film is for
// one goroutine; several Films may be written at once. Whoever calls Create
// calls Close or Abort.
type Film struct {
	path string
	file *atomicfile.File
	o    FilmOptions

	mux      *muxer
	pictures *encoder
	sound    *encoder // nil: none
	convert  *painter

	shown   int64     // pictures taken
	encoded int64     // samples a channel encoded
	carry   []float32 // samples short of a whole AAC frame, interleaved
	err     error     // the first failure; every later call returns it
	closed  bool
}

// TickBase is the time base of the picture track that a film of this rate gets:
// the pictures a second doubled until there are at least ten thousand ticks.
func TickBase(rate timecode.Base) timecode.Base {
	den := rate.Den
	for den < 10000 {
		den *= 2
	}
	return timecode.Base{Num: 1, Den: den}
}

// Create starts a film. An existing file of that name is replaced by Close, not
// before.
func Create(path string, o FilmOptions) (*Film, error) {
	if o.Width <= 0 || o.Height <= 0 || o.Width%2 != 0 || o.Height%2 != 0 {
		return nil, fmt.Errorf("create film %q: %d x %d is not an even picture size", path, o.Width, o.Height)
	}
	if !o.Rate.Valid() {
		return nil, fmt.Errorf("create film %q: %v is not a picture rate", path, o.Rate)
	}
	if o.SoundChannels == 0 {
		o.SoundChannels = 1
	}
	if o.SoundRate < 0 || o.SoundChannels < 0 || o.SoundChannels > 2 {
		return nil, fmt.Errorf("create film %q: %d channels at %d Hz cannot be written", path, o.SoundChannels, o.SoundRate)
	}
	if o.KeyEvery == 0 {
		o.KeyEvery = int(max(1, 2*o.Rate.Den/o.Rate.Num))
	}
	if o.CRF == 0 {
		o.CRF = 20
	}
	whole, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("create film %q: %w", path, err)
	}
	f := &Film{path: whole, o: o}
	if err := f.open(); err != nil {
		f.Abort()
		return nil, fmt.Errorf("create film %q: %w", path, err)
	}
	return f, nil
}

func (f *Film) open() (err error) {
	astiav.SetLogLevel(astiav.LogLevelQuiet) // what matters comes back as an error
	if f.file, err = atomicfile.Create(f.path, fmt.Sprintf(".strokeledger-film-%d-*.part", os.Getpid())); err != nil {
		return err
	}
	if f.pictures, err = newPictureEncoder(f.o); err != nil {
		return err
	}
	if f.o.SoundRate > 0 {
		if f.sound, err = newSoundEncoder(f.o); err != nil {
			return err
		}
	}
	if f.convert, err = newPainter(f.o.Width, f.o.Height); err != nil {
		return err
	}
	f.mux, err = newMuxer(f.file.Name(), f.o, f.pictures, f.sound)
	return err
}

// Picture appends the next picture, which must be of the film's size and opaque.
// The picture may be reused as soon as Picture has returned.
func (f *Film) Picture(img *image.RGBA) error {
	return f.step(func() error {
		if size := img.Rect.Size(); size != image.Pt(f.o.Width, f.o.Height) {
			return fmt.Errorf("picture of %d x %d in a film of %d x %d", size.X, size.Y, f.o.Width, f.o.Height)
		}
		if err := f.convert.paint(f.pictures.frame, img); err != nil {
			return err
		}
		f.pictures.frame.SetPts(f.shown)
		f.shown++
		return f.send(f.pictures, f.pictures.frame)
	})
}

// Samples appends the next samples, -1 to 1, interleaved where there are two
// channels. They may come in any portions, before or after their pictures.
func (f *Film) Samples(s []float32) error {
	return f.step(func() error {
		if f.sound == nil {
			return errors.New("samples for a film without sound")
		}
		f.carry = append(f.carry, s...)
		whole := f.sound.cc.FrameSize() * f.o.SoundChannels
		at := 0
		for ; len(f.carry)-at >= whole; at += whole {
			if err := f.encodeSound(f.carry[at : at+whole]); err != nil {
				return err
			}
		}
		f.carry = append(f.carry[:0], f.carry[at:]...)
		return nil
	})
}

func (f *Film) encodeSound(s []float32) error {
	if err := fillSound(f.sound.frame, s, f.o.SoundChannels); err != nil {
		return err
	}
	f.sound.frame.SetPts(f.encoded)
	f.encoded += int64(len(s) / f.o.SoundChannels)
	return f.send(f.sound, f.sound.frame)
}

// send gives a frame (nil: no more) to an encoder and moves what comes out into
// the file.
func (f *Film) send(e *encoder, frame *astiav.Frame) error {
	if err := e.cc.SendFrame(frame); err != nil {
		return fmt.Errorf("encode: %w", err)
	}
	for {
		err := e.cc.ReceivePacket(e.packet)
		if errors.Is(err, astiav.ErrEagain) || errors.Is(err, astiav.ErrEof) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("encode: %w", err)
		}
		if err := f.mux.write(e); err != nil {
			return err
		}
	}
}

func (f *Film) step(do func() error) error {
	if f.closed {
		return fmt.Errorf("film %q is closed", f.path)
	}
	if f.err == nil {
		if err := do(); err != nil {
			f.err = fmt.Errorf("write film %q: %w", f.path, systems(err))
		}
	}
	return f.err
}

// systems adds the system's own error to one of FFmpeg's that stands for it, so
// that a full disk is known as one.
func systems(err error) error {
	var code astiav.Error
	if errors.As(err, &code) && code < 0 && code > -200 {
		return fmt.Errorf("%w: %w", err, syscall.Errno(-code))
	}
	return err
}

// Close finishes the film and gives it its name. Where anything had failed it
// removes what was written and returns the first failure. Calling it again
// returns the same.
func (f *Film) Close() error {
	if f.closed {
		return f.err
	}
	err := f.step(func() error {
		if f.shown == 0 {
			return errors.New("no picture was given")
		}
		if err := f.send(f.pictures, nil); err != nil {
			return err
		}
		if f.sound != nil {
			if len(f.carry) > 0 {
				if err := f.encodeSound(f.carry); err != nil {
					return err
				}
			}
			if err := f.send(f.sound, nil); err != nil {
				return err
			}
		}
		if err := f.mux.finish(); err != nil {
			return err
		}
		return f.file.Commit()
	})
	f.release()
	return err
}

// Abort gives the film up and removes what was written. After Close it does
// nothing.
func (f *Film) Abort() {
	if f.closed {
		return
	}
	if f.err == nil {
		f.err = fmt.Errorf("film %q was given up", f.path)
	}
	f.release()
}

// release frees all C memory, in any state that open left, and the temporary
// file where there is one still.
func (f *Film) release() {
	f.closed = true
	f.mux.free()
	f.pictures.free()
	f.sound.free()
	f.convert.free()
	if f.file != nil {
		f.file.Discard()
	}
}
