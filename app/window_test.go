package main

import (
	"net/http"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/frontend"
)

// The page runs its own script files and nothing else, and reaches nobody.
func TestPagePolicy(t *testing.T) {
	page := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte("page")) })
	h := guarded(http.NotFoundHandler(), page)
	for _, target := range []string{"/", "/index.html", "/assets/x.js"} {
		policy := get(h, "GET", target).Header().Get("Content-Security-Policy")
		require.Contains(t, policy, "default-src 'self'", target)
		require.NotRegexp(t, `script-src|connect-src|\*|https?:|wss?:`, policy, "nothing beside default-src says who may run or be reached")
	}
	require.Equal(t, 404, get(h, "GET", "/media/clip/x/frame/1").Code)

	html, err := frontend.Dist.ReadFile("dist/index.html")
	if err != nil {
		t.Log("the page is not built here")
		return
	}
	require.NotRegexp(t, regexp.MustCompile(`(?i)<script(\s+(type|crossorigin)(="[^"]*")?)*\s*>|\son\w+=|javascript:`), string(html))
}
