package clip_test

import (
	"testing"
	"time"
)

// BenchmarkHDR is 1080p60 HEVC of ten bits in HLG, in order, and the same coded the
// same way for SDR.
func BenchmarkHDR(b *testing.B) {
	source := []string{"-f", "lavfi", "-i", "testsrc2=s=1920x1080:r=60:d=4", "-pix_fmt", "yuv420p10le", "-c:v", "libx265",
		"-preset", "ultrafast", "-x265-params", "log-level=error", "-color_primaries", "bt2020", "-colorspace", "bt2020nc", "-color_trc"}
	for b.Loop() {
		var took [2]time.Duration
		for i, transfer := range []string{"arib-std-b67", "bt709"} {
			c := opened(b, film(b, transfer+".mp4", append(source, transfer)))
			start := time.Now()
			for n := range c.Index().Len() {
				show(b, c, n)
			}
			took[i] = time.Since(start)
			b.ReportMetric(float64(c.Index().Len())/took[i].Seconds(), transfer+"-frames/s")
			c.Close()
		}
		b.ReportMetric(float64(took[0])/float64(took[1]), "of-sdr")
	}
}
