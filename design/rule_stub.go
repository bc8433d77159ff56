package design

// Structure says which effects the tested configurations can tell apart.
func (s *Space) Structure(o StructureOptions) Structure { return Structure{} }
