package words

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"lastroad/app/trip"
	"lastroad/assets"
)

// The notes of a route that is opened without region and heights are known in every language.
func TestTheNotesOfABareRouteAreSaid(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("LASTROAD_STATE", dir)
	t.Setenv("LASTROAD_CACHE", dir)
	path := filepath.Join(dir, "route.gpx")
	if err := os.WriteFile(path, assets.Demo("route.gpx"), 0o600); err != nil {
		t.Fatal(err)
	}
	d, err := trip.Open(context.Background(), trip.Request{Files: []string{path}, Quick: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := d.Plan.Clone()
	p.Stops = append(p.Stops, trip.Stop{Name: "beyond", AtM: 9e6})
	p.Legs = append(p.Legs, trip.LegEdit{Do: "split", FromM: 9e6}, trip.LegEdit{Do: "lock", FromM: 9e6, ToM: 9.1e6})
	if d, err = d.With(context.Background(), p, nil); err != nil {
		t.Fatal(err)
	}
	notes := append(append(append([]string(nil), d.Notes...), d.Survey.Notes...), d.Judgement.Notes...)
	if len(notes) < 6 {
		t.Fatalf("only %d notes: %q", len(notes), notes)
	}
	for _, l := range Languages[1:] {
		for _, n := range notes {
			if got, known := In(l).Try(n); !known {
				t.Errorf("%s does not know %q (%q)", l, n, got)
			}
		}
	}
}

func TestNotesAreSaid(t *testing.T) {
	for _, c := range []struct{ lang, in, want string }{
		{"de", "Over 6.2 km the walk out is reckoned along a straight line, since no heights are at hand: lakes, rivers and cliffs that bar the way are not counted, and it may take much longer.",
			"Auf 6,2 km ist der Fußweg hinaus entlang einer geraden Linie gerechnet, weil keine Höhen vorliegen: Seen, Flüsse und Felswände, die den Weg versperren, sind nicht gezählt, und er kann viel länger dauern."},
		{"fr", "Km 3.0 to 4.5 lie outside the region file: ways, ground, roads and help are unknown there.",
			"Les km 3,0 à 4,5 sont hors du fichier de région : voies, sol, routes et secours y sont inconnus."},
		{"es", "2.5 km lie outside the height grid or over holes in it; heights there are those of the route file, moved by -12 m to the level of the grid.",
			"2,5 km quedan fuera de la malla de alturas o sobre huecos en ella; allí las alturas son las del archivo de la ruta, movidas -12 m al nivel de la malla."},
		{"de", `The stop "the well" at km 70.0 was left out: the route has only 61.2 km.`, `Der Halt "the well" bei km 70,0 wurde weggelassen: Die Strecke hat nur 61,2 km.`},
		{"fr", "Your change to the legs at km 12.0 (merge) was not made: a locked leg lies there.", "Votre changement des tronçons au km 12,0 (joindre) n'a pas été fait : un tronçon verrouillé s'y trouve."},
		{"es", "The region file made.osm.pbf has changed since the trip was saved; the route is measured again.", "El archivo de región made.osm.pbf ha cambiado desde que se guardó el viaje; la ruta se mide de nuevo."},
		{"fr", `No temperatures are given: those of the climate that is usual at this latitude, "mediterranean" in the hottest month are taken, 2 to 23 °C, good to about 4 degrees; type the forecast.`,
			"Aucune température n'est donnée : on prend celles du climat usuel à cette latitude, « méditerranéen » (le mois le plus chaud), de 2 à 23 °C, à 4 degrés près environ ; entrez la prévision."},
		{"de", `No temperatures are given: those of the climate "hot desert" in March are taken, 12 to 33 °C, good to about 4 degrees; type the forecast.`,
			"Keine Temperaturen angegeben: Genommen sind die des Klimas „heiße Wüste“ (März), 12 bis 33 °C, auf etwa 4 Grad genau; tragen Sie die Vorhersage ein."},
		{"de", "4 segments were joined; 2 gaps between them, the longest of 1.4 km, were bridged by straight lines.", "4 Abschnitte wurden verbunden; 2 Lücken dazwischen, die längste von 1,4 km, sind mit geraden Linien überbrückt."},
	} {
		if got := In(c.lang).Say(c.in); got != c.want {
			t.Errorf("%s of %q is\n%q, want\n%q", c.lang, c.in, got, c.want)
		}
	}
}
