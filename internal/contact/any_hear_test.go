package contact_test

import (
	"encoding/binary"
	"math"
	"os/exec"
	"strings"
	"testing"

	"strokeledger/internal/contact"
	"strokeledger/internal/demo/hall"
)

// hear gives the detector a recording as the program does.
func hear(r hall.Recording) ([]contact.Contact, error) {
	return contact.Find(mixed(r), r.Rate)
}

// mixed is the mean of the channels, or half their difference where they are plainly
// opposed, as package clip mixes them.
func mixed(r hall.Recording) []float32 {
	if r.Right == nil {
		return r.Samples
	}
	common, left, right := 0., 0., 0.
	for i, v := range r.Samples {
		a, b := float64(v), float64(r.Right[i])
		common, left, right = common+a*b, left+a*a, right+b*b
	}
	sign := float32(1)
	if common < -.5*math.Sqrt(left*right) {
		sign = -1
	}
	out := make([]float32, len(r.Samples))
	for i := range out {
		out[i] = (r.Samples[i] + sign*r.Right[i]) / 2
	}
	return out
}

// say speaks what a coach says.
func say(t testing.TB, voice string) []float32 {
	const text = `Right, come over here a moment. Keep your elbow in front, and take the ball earlier. ` +
		`Stop pushing with the wrist. Back foot, then hips, then the arm. Good, that was better. Ten more of those, please. ` +
		`Do not stand up between two balls. Watch where he puts his left foot. Ready? Then pick up the balls and we do it again. ` +
		`What did we say about the first step? Quick, quick, and wait. Exactly like that. Tomorrow we start at ten past six.`
	out, err := exec.Command("ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi",
		"-i", "flite=voice="+voice+":text='"+strings.ReplaceAll(text, ",", `\,`)+"'",
		"-ar", "48000", "-ac", "1", "-f", "f32le", "-c:a", "pcm_f32le", "-").Output()
	if err != nil {
		t.Errorf("ffmpeg with flite: %v", err)
		return nil
	}
	samples := make([]float32, len(out)/4)
	if _, err := binary.Decode(out, binary.LittleEndian, samples); err != nil {
		t.Error(err)
	}
	return samples
}
