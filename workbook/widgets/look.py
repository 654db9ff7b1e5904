"""The pages' style sheet."""

from pathlib import Path

STYLE = f"<style>\n{Path(__file__).with_name('look.css').read_text(encoding='utf-8')}</style>"
