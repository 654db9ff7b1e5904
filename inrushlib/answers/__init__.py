"""Answers, made once for every medium.

One module a question makes its :class:`~inrushlib.answers.blocks.Answer` from what a search, a start or a finding came
to; ``terminal`` and ``html`` show it. Commands and pages choose the question and place the answer; they word nothing.

``blocks``     what an answer is made of
``terminal``, ``html``
               renderers
``start``      what is said first of a start
``adapter``, ``reservoir``, ``brightness``, ``delay``, ``gate``, ``switch``, ``panel``, ``wires``
               the answers, by question
"""
