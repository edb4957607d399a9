package trip

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sync"

	"lastroad/assets"
)

// tableNames are the built-in tables that a judgement rests on.
var tableNames = []string{"climate", "factors", "ground", "hazards", "items", "pace", "policy", "recipes", "recovery", "skills", "supply", "tyres", "vehicles", "ways"}

// TablesSum names the state of the built-in tables: the same tables give the same sum. A saved trip holds
// the sum it was judged with, so that a change of the tables can be told when it is opened.
var TablesSum = sync.OnceValue(func() string {
	h := sha256.New()
	for _, n := range tableNames {
		data, file := assets.Table(n)
		fmt.Fprintf(h, "%s %d\n", file, len(data))
		h.Write(data)
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
})

// newTables notes that the tables are not those that the saved trip was judged with.
func (d *Document) newTables() {
	if d.Plan.Tables != "" && d.Plan.Tables != TablesSum() {
		d.Notes = append(d.Notes, "The program's tables of rates, gear and remedies have changed since this trip was saved: it is judged with the new ones, and figures may differ from those printed before.")
	}
}
