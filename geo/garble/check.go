package garble

import (
	"errors"
	"runtime/metrics"
	"strings"
	"testing"

	"lastroad/geo"
)

// Refused fails the test unless err is a refusal that a reader of the file can act on: an input error that names the
// file and a remedy, on one line.
func Refused(t testing.TB, err error, file string) {
	t.Helper()
	var bad *geo.InputError
	switch {
	case !errors.As(err, &bad):
		t.Fatalf("error %v is not an input error", err)
	case !strings.HasPrefix(err.Error(), file) || bad.Remedy == "":
		t.Fatalf("error %q does not name the file %s and what to do", err, file)
	case strings.ContainsAny(err.Error(), "\r\n"):
		t.Fatalf("error %q is longer than a line", err)
	}
}

// Bounded runs decode, which is given an input of so many bytes, and fails the test when it takes more memory than
// twenty times the input and 64 MiB. All that is allocated counts, also what is given back meanwhile, so the peak is
// below it.
func Bounded(t testing.TB, input int, decode func()) {
	t.Helper()
	before := allocated()
	decode()
	if took, most := allocated()-before, uint64(20*input+64<<20); took > most {
		t.Fatalf("%d bytes take %d MiB of memory, at most %d are allowed", input, took>>20, most>>20)
	}
}

// allocated is what the process has allocated so far, in bytes.
func allocated() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
