package clip

import (
	"strconv"

	"strokeledger/internal/clip/av"
)

// captured is how many pictures a second the camera took, where the file says so; 0
// where not. Android's recorder notes it under this key
// (MediaRecorder.setCaptureRate; androidx.media3 reads it as
// MdtaMetadataEntry.KEY_ANDROID_CAPTURE_FPS). QuickTime's own phones keep the
// pictures' real times in the file and need no such note.
func captured(src *av.Source) float64 {
	v, err := strconv.ParseFloat(src.Note("com.android.capture.fps"), 64)
	if err != nil || !(v >= 1 && v <= 100_000) {
		return 0
	}
	return v
}

// Slowness is how many seconds of playing one second in the hall takes: 8 where
// 240 pictures a second were taken and 30 are played, 1 where the file plays in
// real time or does not say. Real seconds are seconds of the clip's clock divided
// by it. It goes by the pictures listed so far.
func (c *Clip) Slowness() float64 {
	x := c.Index()
	if c.info.Capture == 0 || x.Len() < 2 || x.Seconds(x.Len()-1) <= 0 {
		return 1
	}
	played := float64(x.Len()-1) / x.Seconds(x.Len()-1)
	// Rates are noted roughly, and a phone leaves pictures out in the dark.
	const surely = 1.5
	if s := c.info.Capture / played; s >= surely {
		return s
	}
	return 1
}
