// What every page has beside its forms.
