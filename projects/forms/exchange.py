"""Forms for files that come in: which file, and with which settings its project is planned."""

from typing import Any

from django import forms

from projects.activities.exchange import LARGEST, File, Unreadable, read_file

from .base import StudioForm


class FileForm(StudioForm):
    """One file of this ``kind``; ``found`` holds what was read, ``data_read`` its bytes."""

    file = forms.FileField(
        label="File",
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
        help_text="A file that Foldwright has written, of at most 10 MB.",
        error_messages={
            "required": "No file was chosen. Choose one that Foldwright has written.",
            "invalid": "No file arrived. Choose it again.",
            "empty": "The file is empty. Choose one that Foldwright has written.",
        },
    )

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.found: File | None = None
        self.data_read = b""

    def clean_file(self) -> Any:
        sent = self.cleaned_data["file"]
        if sent.size > LARGEST:
            raise forms.ValidationError(
                f"The file has {sent.size / 1e6:.1f} MB; at most 10 MB are read. "
                "Choose one that Foldwright wrote."
            )
        self.data_read = sent.read(LARGEST + 1)
        try:
            self.found = read_file(self.data_read)
        except Unreadable as error:
            raise forms.ValidationError(str(error)) from error
        if self.found.kind != self.kind:
            raise forms.ValidationError(
                f"This is the file of a {self.found.kind}; bring it in among the {self.found.kind}s."
            )
        return sent


class BasisForm(StudioForm):
    """With which settings an imported project is planned."""

    use = forms.ChoiceField(
        label="Plan it with",
        choices=[
            ("file", "the settings of its file: every number stays as it is"),
            ("studio", "this studio's settings: the numbers follow them"),
        ],
        widget=forms.RadioSelect,
        initial="file",
    )
