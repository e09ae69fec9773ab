package contact_test

import (
	"encoding/gob"
	"fmt"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"

	"strokeledger/internal/contact"
	"strokeledger/internal/demo/hall"
)

type LabClip struct {
	Condition string
	Seed      int64
	Left, Right []float32
	Rate      int
	Truth     []contact.Contact
	Beside    []hall.Beside
	Begun     []float64
}

func TestLabDump(t *testing.T) {
	dir := os.Getenv("LAB_DUMP")
	if dir == "" {
		t.Skip()
	}
	first, _ := strconv.Atoi(os.Getenv("LAB_FIRST"))
	count, _ := strconv.Atoi(os.Getenv("LAB_COUNT"))
	secs := 40.
	conds := hall.Wide()
	if os.Getenv("LAB_OLD") != "" {
		conds = hall.Conditions()
		secs = 60
	}
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for _, c := range conds {
		for k := range count {
			wait.Go(func() {
				slots <- struct{}{}
				defer func() { <-slots }()
				name := fmt.Sprintf("%s/%s-%d.gob", dir, strings.ReplaceAll(string(c), "/", "_"), first+k)
				if _, err := os.Stat(name); err == nil {
					return
				}
				r := hall.Make(c, int64(first+k), secs, tableRate)
				f, err := os.Create(name)
				if err != nil {
					panic(err)
				}
				defer f.Close()
				if err := gob.NewEncoder(f).Encode(LabClip{string(c), int64(first + k), r.Samples, r.Right, r.Rate, r.Truth, r.Beside, r.Begun}); err != nil {
					panic(err)
				}
			})
		}
	}
	wait.Wait()
}
