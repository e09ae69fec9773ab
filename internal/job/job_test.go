package job_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/job"
)

// Stop ends what runs and lets nothing else begin; Wait waits for the last of it.
func TestStopAndWait(t *testing.T) {
	jobs := job.NewGroup()
	ctx, done, err := jobs.Begin(t.Context())
	require.NoError(t, err)
	require.False(t, jobs.Stopped())
	require.NoError(t, ctx.Err())

	jobs.Stop()
	<-ctx.Done()
	require.True(t, jobs.Stopped())
	_, _, err = jobs.Begin(t.Context())
	require.ErrorIs(t, err, job.ErrClosed)

	waited := make(chan struct{})
	go func() { jobs.Wait(); close(waited) }()
	select {
	case <-waited:
		t.Fatal("a job runs, and nobody waits for it")
	default:
	}
	done()
	<-waited
}

// A job ends with the context that it was begun with, too.
func TestEndsWithItsOwnContext(t *testing.T) {
	jobs := job.NewGroup()
	own, cancel := context.WithCancel(t.Context())
	ctx, done, err := jobs.Begin(own)
	require.NoError(t, err)
	defer done()
	cancel()
	<-ctx.Done()
	require.False(t, jobs.Stopped())
}
