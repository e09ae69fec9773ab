package contact_test

import (
	"os"
	"testing"

	"gonum.org/v1/gonum/stat"

	"strokeledger/internal/contact"
	"strokeledger/internal/demo/hall"
)

// BenchmarkRefit prints what the tuning seeds say of how contacts sound, beside what the
// detector takes to be known: of each feature the mean over clips, the spread from clip to
// clip and that within one (of one kind on one side), in nats. See build/bench.sh refit.
func BenchmarkRefit(b *testing.B) {
	if os.Getenv("STROKELEDGER_REFIT") == "" {
		b.Skip("see build/bench.sh refit")
	}
	centre, between, within := contact.ContactFigures()
	means, spreads := make([][]float64, len(centre)), make([][]float64, len(centre))
	for _, c := range hall.Timbres() {
		for seed := range int64(hallSeeds) {
			sound := hall.Make(c, tuningSeeds+seed, anyHallSeconds, tableRate)
			at, measured := contact.Measured(sound.Samples, sound.Rate)
			thing := map[[2]string][][]float64{}
			for _, p := range contact.Match(times(sound.Truth), at, tolerance) {
				t := sound.Truth[p[0]]
				key := [2]string{string(t.Kind), string(t.Who)}
				thing[key] = append(thing[key], measured[p[1]])
			}
			for f := range centre {
				for _, heard := range thing {
					var x []float64
					for _, m := range heard {
						x = append(x, m[f])
					}
					if len(x) > 4 {
						mean, sd := stat.MeanStdDev(x, nil)
						means[f], spreads[f] = append(means[f], mean), append(spreads[f], sd)
					}
				}
			}
		}
	}
	b.Log("| feature | centre | from clip to clip | within one | taken for centre | from clip to clip | within one |")
	b.Log("|---|---|---|---|---|---|---|")
	for f := range centre {
		mean, sd := stat.MeanStdDev(means[f], nil)
		b.Logf("| %d | %.2f | %.2f | %.2f | %.2f | %.2f | %.2f |", f, mean, sd, stat.Mean(spreads[f], nil), centre[f], between[f], within[f])
	}
}
