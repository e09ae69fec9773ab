package av

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/asticode/go-astiav"
)

// encoder owns one codec context with the frame that goes in and the packet that
// comes out.
type encoder struct {
	cc     *astiav.CodecContext
	frame  *astiav.Frame
	packet *astiav.Packet
}

func newPictureEncoder(o FilmOptions) (e *encoder, err error) {
	e, codec, err := newEncoder("libx264")
	if err != nil {
		return nil, err
	}
	e.cc.SetWidth(o.Width)
	e.cc.SetHeight(o.Height)
	e.cc.SetPixelFormat(astiav.PixelFormatYuv420P)
	e.cc.SetSampleAspectRatio(astiav.NewRational(1, 1))
	e.cc.SetTimeBase(astiav.NewRational(int(o.Rate.Num), int(o.Rate.Den)))
	e.cc.SetFramerate(astiav.NewRational(int(o.Rate.Den), int(o.Rate.Num)))
	e.cc.SetGopSize(o.KeyEvery)
	e.cc.SetThreadCount(o.Threads)
	err = e.open(codec, map[string]string{
		"preset":      "veryfast",
		"x264-params": "subme=1:me=dia", // a fifth faster for a twentieth more bytes
		"crf":         strconv.Itoa(o.CRF),
		// go-astiav cannot set these on the context: they are options too.
		"color_range":            "tv",
		"colorspace":             "bt709",
		"color_primaries":        "bt709",
		"color_trc":              "bt709",
		"chroma_sample_location": "left",
	})
	if err != nil {
		return nil, err
	}
	e.frame.SetWidth(o.Width)
	e.frame.SetHeight(o.Height)
	e.frame.SetPixelFormat(astiav.PixelFormatYuv420P)
	e.frame.SetColorRange(astiav.ColorRangeMpeg)
	if err := e.frame.AllocBuffer(0); err != nil {
		e.free()
		return nil, fmt.Errorf("picture buffer: %w", err)
	}
	return e, nil
}

func newSoundEncoder(o FilmOptions) (e *encoder, err error) {
	e, codec, err := newEncoder("aac")
	if err != nil {
		return nil, err
	}
	layout := astiav.ChannelLayoutMono
	if o.SoundChannels == 2 {
		layout = astiav.ChannelLayoutStereo
	}
	e.cc.SetChannelLayout(layout)
	e.cc.SetSampleRate(o.SoundRate)
	e.cc.SetSampleFormat(astiav.SampleFormatFltp)
	e.cc.SetTimeBase(astiav.NewRational(1, o.SoundRate))
	// 96 kbit/s a channel keeps the clicks sharp, on which the contacts are heard.
	e.cc.SetBitRate(int64(96000 * o.SoundChannels))
	// The quick quantiser: at this bit rate it sounds the same.
	if err := e.open(codec, map[string]string{"aac_coder": "fast"}); err != nil {
		return nil, err
	}
	e.frame.SetSampleFormat(astiav.SampleFormatFltp)
	e.frame.SetChannelLayout(layout)
	e.frame.SetSampleRate(o.SoundRate)
	e.frame.SetNbSamples(e.cc.FrameSize())
	if err := e.frame.AllocBuffer(0); err != nil {
		e.free()
		return nil, fmt.Errorf("sound buffer: %w", err)
	}
	return e, nil
}

func newEncoder(name string) (*encoder, *astiav.Codec, error) {
	codec := astiav.FindEncoderByName(name)
	if codec == nil {
		return nil, nil, fmt.Errorf("this FFmpeg has no encoder %s: install one that has it", name)
	}
	cc := astiav.AllocCodecContext(codec)
	if cc == nil {
		return nil, nil, errors.New("no memory for an encoder")
	}
	// MP4 keeps the codec's header once; bit-exact keeps the encoder's name out.
	cc.SetFlags(astiav.NewCodecContextFlags(astiav.CodecContextFlagGlobalHeader, astiav.CodecContextFlagBitexact))
	return &encoder{cc: cc, frame: astiav.AllocFrame(), packet: astiav.AllocPacket()}, codec, nil
}

// open opens the codec with options; it frees the encoder where that fails.
func (e *encoder) open(codec *astiav.Codec, options map[string]string) error {
	d, err := dictionary(options)
	if err == nil {
		err = e.cc.Open(codec, d)
		d.Free()
	}
	if err != nil {
		e.free()
		return fmt.Errorf("open encoder %s: %w", codec.Name(), err)
	}
	return nil
}

func (e *encoder) free() {
	if e == nil || e.cc == nil {
		return
	}
	e.packet.Free()
	e.frame.Free()
	e.cc.Free()
	e.cc = nil
}

// dictionary returns the options as FFmpeg takes them; the caller frees it.
func dictionary(options map[string]string) (*astiav.Dictionary, error) {
	d := astiav.NewDictionary()
	for k, v := range options {
		if err := d.Set(k, v, 0); err != nil {
			d.Free()
			return nil, fmt.Errorf("option %s=%s: %w", k, v, err)
		}
	}
	return d, nil
}
