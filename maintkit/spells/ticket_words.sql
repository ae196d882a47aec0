-- What a ticket complains of in comparable words: by the vocabulary where it found some, else the words of the complaint alone.
-- grain: ticket    no parameters
create or replace temp table ticket_words as
with worded as (
    select ticket, min(coalesce(section || ': ', '') || symptom) as symptom_class
    from symptom_words
    where symptom is not null
    group by ticket
)
select ticket, coalesce(symptom_class, words) as symptom_key
from tickets
left join worded using (ticket)
left join complaints on said = symptom
where coalesce(symptom_class, words) <> ''
order by ticket
