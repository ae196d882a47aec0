-- A complaint without the greeting in a line of its own above it or, before a mark, in the same, without who said so, and without what
-- closes it: thanks and names, telephone numbers, addresses.
-- The record keeps it as written; one of which nothing would be left is shown whole. Letters are told by a range: to read all classes of
-- Unicode for each of them takes ten times as long as the rest.    text -> text
create or replace temp macro complaint_alone(said) as
    coalesce(nullif(trim(regexp_replace(
        regexp_replace(said,
            '(?is)^\s*(?:hi|hey|hello|dear|hallo|moin|servus|good (?:morning|afternoon|evening)|guten (?:morgen|tag|abend)|liebe[rs]?|sehr geehrte[rs]?)'
            || '(?:(?:(?: [a-zÀ-῿]+){0,3}[,!])?\s*\n\s*|(?: (?:guys|all|folks|there|team|everyone|zusammen|leute))?(?:\s*[,!:]|\s+[-–])\s*)'
            || '|^\s*(?:the )?(?:client|customer|singer|artist|band|producer|engineer|operator|kunde|sänger)s? (?:complain(?:ed|s)?|says?|said|report(?:ed|s)?|sagt|meldet)\s*[:,]\s*', ''),
        '(?is)(?:\s+(?:thx|thanks|pls help|please help|danke)\s*$|(?:(?:\n|[,;(]|[.!?]\s)\s*(?:'
            -- by whom: names of three words at most, on the same line or the next
            || '(?:(?:best |kind |warm |many )?(?:regards|wishes)|cheers|thanks|many thanks|thank you|thx|sincerely|'
            || '(?:viele |liebe |beste |sch(?:ö|oe)ne |mit freundlichen )?gr(?:u|ü|ue)(?:ß|ss)e?n?|mfg|lg|vg|danke(?: dir| euch| schön)?)'
            || '(?: [a-zÀ-῿][a-zÀ-῿.''-]*)?(?:(?:[,!]\s*|\s*\n\s*)[a-zÀ-῿][a-zÀ-῿.''-]*(?: [a-zÀ-῿][a-zÀ-῿.]*){0,2})?'
            || '|best(?:(?:[,!]\s*|\s*\n\s*)[a-zÀ-῿][a-zÀ-῿.''-]*(?: [a-zÀ-῿][a-zÀ-῿.]*){0,2})?'
            || '|(?:telephone|telefon|tel|phone|mobile|mob|handy|ext|extension|dw|durchwahl)[.:]?\s*(?:no\.?|nr\.?)?\s*\+?\d[\d /-]{2,}'
            || '|(?:please |bitte )?(?:call|ring|phone|rufen sie|ruf) (?:me|mich|us|uns) (?:on|at|unter|an)[ :]*\+?\d[\d /-]{2,}[^\n]{0,80}'
            || '|(?:(?:please )?(?:e-?mail|mail|write)(?: me| us| to)?:?\s*)?[\w.+-]+@[\w-]+\.[\w.-]+'
            || '|[+0]\d[\d /-]{6,}'
            || ')[\s.,;!)]*)+$)', '')), ''), said)
