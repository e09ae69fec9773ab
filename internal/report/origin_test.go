package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/report"
)

// origin is what every document of these tests was made from.
func origin() report.Origin {
	return report.Origin{Program: "1.0", Definitions: "0a1b2c3d", State: 412, Made: made}
}

func TestOriginSaysWhatItKnows(t *testing.T) {
	require.Equal(t, []string{"Made on 3 April 2026 with Strokeledger 1.0.", "Definitions 0a1b2c3d, library at change 412."}, origin().Lines())
	require.Equal(t, []string{"Made with Strokeledger."}, report.Origin{}.Lines())
}
