package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/desk/summary"
)

func TestNewestEndsTheOneBefore(t *testing.T) {
	var n newest
	first, end := n.begin(context.Background())
	defer end()
	second, end2 := n.begin(context.Background())
	require.ErrorIs(t, first.Err(), context.Canceled)
	require.NoError(t, second.Err())
	end2()
	third, end3 := n.begin(context.Background())
	defer end3()
	end2() // of one that is over: ends no other
	require.NoError(t, third.Err())
}

// A summary that is asked for anew ends the one before.
func TestSummaryNewestWins(t *testing.T) {
	s := newShell(filepath.Join(t.TempDir(), "library"))
	s.start(context.Background())
	defer s.stop()
	x := &Summary{s: s}
	before, end := x.get.begin(context.Background())
	defer end()
	_, err := x.Get(summary.Query{})
	require.NoError(t, err)
	require.ErrorIs(t, before.Err(), context.Canceled)
}

// The bar of clips that are made ready leaves its line empty at the end, also
// where the work failed before.
func TestWaitingBar(t *testing.T) {
	var b bytes.Buffer
	c := command{waiting: &bar{w: &b, on: true, started: time.Now().Add(-2 * time.Second)}, say: os.Stderr}
	c.wait(3400, 10000)
	require.Contains(t, b.String(), "34 %  10000 clips made ready, once")
	c.wait(10000, 10000)
	require.True(t, bytes.HasSuffix(b.Bytes(), []byte(" \r")))
	n := b.Len()
	c.waiting.end()
	require.Equal(t, n, b.Len())
}
