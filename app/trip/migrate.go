package trip

import (
	"fmt"

	"github.com/pelletier/go-toml/v2"
)

// A migration brings a plan from one schema to the next: it renames, moves and fills keys of the decoded
// document and touches nothing else.
type migration func(doc map[string]any) error

// migrations[k] leads from schema k+1 to k+2. When Schema rises, add its step here and keep a file of the old
// schema in testdata/trips, so that a test opens it for ever.
var migrations = []migration{}

// migrate brings data from one schema to another by the steps between. Data of the wanted schema come back as
// they are, so that errors name the lines that the user sees.
func migrate(data []byte, from, to int, steps []migration) ([]byte, error) {
	if from == to {
		return data, nil
	}
	doc := map[string]any{}
	if err := toml.Unmarshal(data, &doc); err != nil {
		return nil, err
	}
	for k := from; k < to; k++ {
		if k-1 >= len(steps) {
			return nil, fmt.Errorf("no step leads from schema %d to %d", k, k+1)
		}
		if err := steps[k-1](doc); err != nil {
			return nil, fmt.Errorf("schema %d to %d: %w", k, k+1, err)
		}
		doc["schema"] = int64(k + 1)
	}
	return toml.Marshal(doc)
}
