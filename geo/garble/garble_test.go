package garble

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestDamageChangesAndRepeats(t *testing.T) {
	data := []byte(strings.Repeat(`<trkpt lat="42.5" lon="1.6"><ele>1200</ele></trkpt>`, 50))
	for i := range 2000 {
		a := Copy(rand.New(rand.NewPCG(uint64(i), 1)), data, true)
		if bytes.Equal(a, data) {
			t.Fatalf("damage %d changes nothing", i)
		}
		if b := Copy(rand.New(rand.NewPCG(uint64(i), 1)), data, true); !bytes.Equal(a, b) {
			t.Fatalf("damage %d differs when made again", i)
		}
	}
	for _, d := range [][]byte{nil, {1}, {1, 2}} {
		for i := range 200 {
			Copy(rand.New(rand.NewPCG(uint64(i), 2)), d, i%2 == 0)
		}
	}
}

func TestCopiesAreOfEachInTurn(t *testing.T) {
	a, b := bytes.Repeat([]byte("a"), 4000), bytes.Repeat([]byte("b"), 4000)
	for i, c := range Copies(100, false, a, b) {
		if own := bytes.Count(c, []byte{"ab"[i%2]}); len(c) > 1000 && own < len(c)/10 {
			t.Errorf("copy %d holds %d of %d bytes of its good one", i, own, len(c))
		}
	}
}
