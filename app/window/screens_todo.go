package window

import "fyne.io/fyne/v2"

type loadScreen struct{ p *Presenter }

func newLoadScreen(p *Presenter) *loadScreen    { return &loadScreen{p} }
func (s *loadScreen) object() fyne.CanvasObject { return plainText("") }

type togetherScreen struct{ p *Presenter }

func newTogetherScreen(p *Presenter) *togetherScreen { return &togetherScreen{p} }
func (s *togetherScreen) object() fyne.CanvasObject  { return plainText("") }

type papersScreen struct{ s *shell }

func newPapersScreen(s *shell) *papersScreen      { return &papersScreen{s} }
func (s *papersScreen) object() fyne.CanvasObject { return plainText("") }
