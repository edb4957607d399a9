package main

import (
	"strings"
	"testing"
)

// Messages as govulncheck 1.9 writes them (golang.org/x/vuln, package govulncheck: Message, OSV, Finding).
const answer = `{"config":{"protocol_version":"v1.0.0"}}
{"osv":{"id":"GO-1","summary":"endless loop"}}
{"osv":{"id":"GO-2","summary":"crash"}}
{"finding":{"osv":"GO-1","fixed_version":"v1.26.9","trace":[{"module":"stdlib","version":"v1.26.8"}]}}
{"finding":{"osv":"GO-1","fixed_version":"v1.26.9","trace":[{"module":"stdlib","version":"v1.26.8","package":"net/http","function":"Get"}]}}
{"finding":{"osv":"GO-2","trace":[{"module":"example.org/m","version":"v1.0.0"}]}}
`

func TestFaults(t *testing.T) {
	found, err := faults(strings.NewReader(answer))
	if err != nil || len(found) != 2 {
		t.Fatalf("%d faults, %v; want 2", len(found), err)
	}
	if f := found[0]; f.id != "GO-1" || f.level != "called" || f.fixed != "v1.26.9" || f.summary != "endless loop" {
		t.Errorf("the first is %+v, want the standard library's, called", f)
	}
	if err := report(found); err != nil {
		t.Errorf("a standard library's fault and one that is not linked are an error: %v", err)
	}
	linked := strings.Replace(answer, `"module":"example.org/m","version":"v1.0.0"`, `"module":"example.org/m","version":"v1.0.0","package":"example.org/m"`, 1)
	if found, err = faults(strings.NewReader(linked)); err != nil || report(found) == nil {
		t.Errorf("a fault in a linked module is no error: %v", err)
	}
	if _, err := faults(strings.NewReader(answer + "{")); err == nil {
		t.Error("a cut answer is read")
	}
}
